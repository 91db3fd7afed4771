"""What wires meet in: connectors with two halves, cables with a shield, sockets and trailers' plugs."""

from collections.abc import Mapping
from types import MappingProxyType

from loombench.facts.socket import socket_contacts, socket_names
from loombench.text.draft import Draft, Trailer
from loombench.text.partline import PartLine, example_of, leftover, read_part_line
from loombench.text.syntax import Statement
from loombench.text.tokens import STRING

FORMS: Mapping[str, str] = MappingProxyType(
    {name.replace(" ", "").removeprefix("SAE"): name for name in socket_names()}
)
"""The forms a socket can have, as they are written, by their standard's name."""
TRAILER_EXAMPLE = 'plug "trailer.circuit".P1 into X50'


def read_connector(draft: Draft, statement: Statement) -> None:
    """`connector X12 6way chassis | boom`: the looms that end in its halves, the left one first."""
    said = read_part_line(draft, statement.line)
    if not said:
        return
    halves = tuple(token.text for token in said.rest if token.is_word())
    leftover(draft, said, tuple(token for token in said.rest if not token.is_word() and not token.is_mark("|")))
    ways = said.numbers.get("ways")
    count = 0 if ways is None else round(ways.nominal)
    if not count:
        draft.failed.add(said.id)
        if not any(token.text[0].isdigit() for token in said.line.tokens[2:] if token.is_word()):
            draft.missing(said.line, "connector", example_of("connector"))
    if count > draft.limits.most_ways:
        limit = f"1 to {draft.limits.most_ways} way"
        draft.wrong("number-range", said.line.span(), text=f"{count}way", limits=limit)
        count = 0
    if halves and (len(halves) != 2 or halves[0] == halves[1]):
        draft.wrong("connector-halves", said.span, part=said.id, halves=" | ".join(halves)[:80])
        halves = ()
        draft.failed.add(said.id)
    elif halves and not any(token.is_mark("|") for token in said.rest):
        draft.doubtful("connector-halves", said.span, part=said.id, halves=" ".join(halves)[:80])
    pins = tuple(str(number) for number in range(1, count + 1))
    draft.add_part(said.part(pins, halves=halves, plugs=MappingProxyType({"": pins})))


def read_cable(draft: Draft, statement: Statement) -> None:
    """`cable C4 A2.X3/20 A2.X3/21 twisted shield`: the wires at those points run in it; its shield is a conductor."""
    said = read_part_line(draft, statement.line)
    if not said:
        return
    points = tuple(token for token in said.rest if token.is_word())
    leftover(draft, said, tuple(token for token in said.rest if not token.is_word()))
    pins = ("shield",) if "shield" in said.words else ()
    if draft.add_part(said.part(pins, words=said.words)):
        draft.cabled.append((said.id, said.line, points))


def read_socket(draft: Draft, statement: Statement) -> None:
    """`socket X50 ISO1724`, and in a trailer's own file `plug P1 ISO1724`: the contacts come with the form."""
    line = statement.line
    if line.keyword == "plug" and any(token.kind == STRING for token in line.tokens[1:2]):
        _read_trailer(draft, statement)
        return
    said = read_part_line(draft, line)
    if said:
        pins = _contacts(draft, said)
        words = tuple(token.text for token in said.rest if token.is_word())[:1] if pins else ()
        draft.add_part(said.part(pins, words=words, plugs=MappingProxyType({"": pins})))


def _contacts(draft: Draft, said: PartLine) -> tuple[str, ...]:
    if not said.rest or not said.rest[0].is_word():
        draft.missing(said.line, said.kind, example_of(said.kind))
        return ()
    form = said.rest[0]
    leftover(draft, said, said.rest[1:])
    if form.text not in FORMS:
        near = draft.near(form.text, FORMS)
        draft.wrong("socket-unknown", said.line.span(form), name=form.text[:40], nearest=near, allowed=", ".join(FORMS))
        return ()
    return tuple(contact.contact for contact in socket_contacts(FORMS[form.text]))


def _read_trailer(draft: Draft, statement: Statement) -> None:
    line = statement.line
    words = line.tokens[1:]
    fits = len(words) == 4 and words[1].text.startswith(".") and words[2].is_word("into") and words[3].is_word()
    if not fits or len(words[1].text) < 2:
        draft.missing(line, "plug", TRAILER_EXAMPLE)
        return
    draft.trailers.append(Trailer(words[0].text, words[1].text[1:], words[3].text, line.span()))
