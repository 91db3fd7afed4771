"""From a statement's first word to its reader; each line fails alone."""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from loombench.text.draft import Draft
from loombench.text.partline import NAME
from loombench.text.statements.carrier import read_carrier
from loombench.text.statements.connector import read_cable, read_connector, read_socket
from loombench.text.statements.device import FIXED, read_device, read_flasher, read_sensor
from loombench.text.statements.face import read_face
from loombench.text.statements.head import read_colours, read_loom, read_option, read_place, read_vehicle
from loombench.text.statements.metal import read_body, read_splice, read_strap, read_stud
from loombench.text.statements.module import read_module
from loombench.text.statements.netclass import read_class
from loombench.text.statements.relay import read_relay
from loombench.text.statements.switch import read_switch
from loombench.text.statements.unit import read_unit
from loombench.text.statements.wires import is_wire_line, lacks_brackets
from loombench.text.syntax import Line, Statement
from loombench.vehicle.kinds import KINDS

Handler = Callable[[Draft, Statement], None]


def _read_change(draft: Draft, statement: Statement) -> None:
    draft.changes.append(statement.line)


HANDLERS: Mapping[str, Handler] = MappingProxyType(
    {
        **dict.fromkeys(FIXED, read_device),
        "vehicle": read_vehicle, "colours": read_colours, "option": read_option, "loom": read_loom,
        "place": read_place, "body": read_body, "stud": read_stud, "strap": read_strap, "splice": read_splice,
        "sensor": read_sensor, "flasher": read_flasher, "relay": read_relay, "switch": read_switch,
        "connector": read_connector, "cable": read_cable, "socket": read_socket, "plug": read_socket,
        "unit": read_unit, "generic": read_unit, "module": read_module, "carrier": read_carrier,
        "class": read_class, "face": read_face, "change": _read_change,
    }
)  # fmt: skip
WITH_BLOCK = ("unit", "generic", "switch", "carrier", "module", "face")
STATEMENTS = tuple(sorted((*HANDLERS, "include", "if")))


def read_statement(draft: Draft, statement: Statement) -> None:
    """Take a statement in; lines indented below one that has none are read on their own, and pointed out."""
    line = statement.line
    if len(statement.block) > draft.limits.most_rows and line.keyword != "loom":
        draft.wrong("too-many-lines", line.span(), limit=draft.limits.most_rows)
        draft.failed.update(token.text for token in line.tokens[1:2])
        return
    if len(line.tokens) > 1 and line.tokens[1].is_mark("("):
        draft.wire_lines.append((line, draft.loom, draft.system))
    elif line.keyword in HANDLERS and line.tokens[0].is_word():
        HANDLERS[line.keyword](draft, statement if line.keyword in WITH_BLOCK else Statement(line))
        _note_failure(draft, line)
    elif is_wire_line(line) or any(token.is_mark("(") for token in line.tokens) or lacks_brackets(draft, line):
        draft.wire_lines.append((line, draft.loom, draft.system))
    else:
        first = line.tokens[0]
        near = _apart(draft, first.text) or draft.near(first.text, STATEMENTS)
        draft.wrong("kind-unknown", line.span(first), name=first.text[:40], nearest=near, allowed=", ".join(STATEMENTS))
        _note_failure(draft, line)
    if statement.block and line.keyword not in WITH_BLOCK:
        if line.keyword != "loom":
            first_row = statement.block[0]
            draft.wrong("indent-unexpected", first_row.span(), line.span(line.tokens[0]), word=line.keyword[:40])
        for row in statement.block:
            read_statement(draft, Statement(row))


def _apart(draft: Draft, word: str) -> str:
    """A kind and a name that were written as one word, parted; the name is then known to have failed."""
    kind = next((kind for kind in KINDS if word.startswith(kind) and NAME.fullmatch(word[len(kind) :])), "")
    name = word[len(kind) :]
    if not kind or not (name[0].isupper() or name[0].isdigit()):
        return ""
    draft.failed.add(name)
    return f"{kind} {name}"


def _note_failure(draft: Draft, line: Line) -> None:
    """A part whose own line failed is not said to be unknown again wherever it is used."""
    if line.keyword in KINDS or line.keyword not in HANDLERS:
        draft.failed.update(token.text for token in line.tokens[1:2] if token.text not in draft.parts)
