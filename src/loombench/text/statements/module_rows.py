"""The clauses of a module, one reader each: supply, ground, in, out, contact, code."""

from dataclasses import dataclass, replace

from loombench.base.band import Band
from loombench.text.draft import Draft
from loombench.text.fill import assumed
from loombench.text.numbers import Number, read_number
from loombench.text.statements.positions import read_positions
from loombench.text.syntax import Line
from loombench.text.tokens import STRING, Token
from loombench.text.units import joined
from loombench.vehicle.module import SAW, DryContact, Input, Output, Supply, TroubleCode

IN_EXAMPLE = 'in X3/7 pull-up 1kohm from X1/1 "reverse switch" on when low'
CODE_EXAMPLE = 'code X1/14 low "B1026" | X1/14 open "B1027"'
OUT_EXAMPLE = "out X1/14 high-side from X1/20 max 8A"


@dataclass(frozen=True)
class Row:
    """A clause of a module: the line it stands on, its keyword, and what follows it."""

    line: Line
    head: Token
    rest: tuple[Token, ...]


class Words:
    """The words of a clause, taken one after another."""

    def __init__(self, draft: Draft, row: Row) -> None:
        self.draft, self.row = draft, row
        self.waiting = list(joined(row.rest))

    def take(self) -> Token | None:
        """The next token."""
        return self.waiting.pop(0) if self.waiting else None

    def word(self) -> str:
        """The next token's text if it is a word, else nothing."""
        return self.waiting.pop(0).text if self.waiting and self.waiting[0].is_word() else ""

    def number(self, *units: str) -> Number | None:
        """The next token as a number of one of those units; None, and it stays, where it is not."""
        found = read_number(self.waiting[0].text) if self.waiting and self.waiting[0].is_word() else None
        if isinstance(found, Number) and found.unit in units:
            self.waiting.pop(0)
            return found
        return None

    def unexpected(self, token: Token, *allowed: str) -> None:
        """Say that a token means nothing here."""
        self.draft.unexpected(self.row.line, token, self.row.head.text, allowed)


def read_supply(draft: Draft, row: Row) -> list[Supply]:
    """`supply X1/1 "logic" 0.2A | X1/20 "lamp bank"`."""
    made: list[Supply] = []
    words = Words(draft, row)
    while (token := words.take()) is not None:
        if token.is_mark("|"):
            continue
        if not token.is_word():
            words.unexpected(token, 'X1/1 "logic" 0.2A')
            continue
        supply = Supply(token.text)
        while words.waiting and not words.waiting[0].is_mark("|"):
            number = words.number("A")
            if number is not None:
                supply = replace(supply, draw_a=number.band)
            elif words.waiting[0].kind == STRING:
                supply = replace(supply, label=words.waiting.pop(0).text)
            elif words.waiting[0].is_word() and not _numeric(words.waiting[0].text):
                break
            else:
                words.unexpected(words.waiting.pop(0), '"logic"', "0.2A")
        made.append(supply)
    if not made:
        draft.missing(row.line, "supply", 'supply X1/1 "logic" 0.2A | X1/20 "lamp bank"')
    return made


def _numeric(text: str) -> bool:
    return text[:1] == "?" or (text[:1].isdigit() and isinstance(read_number(text), Number) and "/" not in text)


def read_ground(draft: Draft, row: Row) -> list[str]:
    """`ground X1/10`."""
    pins = [token.text for token in row.rest if token.is_word()]
    for token in row.rest:
        if not (token.is_word() or token.is_mark("|") or token.kind == STRING):
            draft.unexpected(row.line, token, "ground", ("X1/10",))
    if not pins:
        draft.missing(row.line, "ground", "ground X1/10")
    return pins


def read_input(draft: Draft, row: Row) -> list[Input]:
    """`in X3/7 pull-up 1kohm from X1/1 "reverse switch" on when low`, `in J high`; `above 6V` and `below 4V`."""
    words = Words(draft, row)
    pin = words.word()
    if not pin:
        draft.missing(row.line, "in", IN_EXAMPLE)
        return []
    made = Input(pin, span=row.line.span(row.head))
    while (token := words.take()) is not None:
        if token.kind == STRING:
            made = replace(made, label=token.text)
        elif token.is_word("high", "low"):
            made = replace(made, on_when=token.text)
        elif token.is_word("pull-up", "pull-down"):
            number = words.number("ohm")
            made = replace(made, pull=token.text.removeprefix("pull-"), pull_ohm=number.band if number else None)
        elif token.is_word("from", "to") and words.waiting:
            made = replace(made, pull_to=words.word())
        elif token.is_word("above", "below") and (volts := words.number("V")) is not None:
            made = replace(made, high_v=volts.band) if token.text == "above" else replace(made, low_v=volts.band)
        elif not token.is_word("on", "when"):
            words.unexpected(token, "pull-up", "pull-down", "on when high", "on when low", "above 6V", "below 4V")
    return [made]


def read_output(draft: Draft, row: Row) -> list[Output]:
    """`out X1/14 high-side from X1/20 max 8A latches-off off-leak 0.2mA test-pulse "lamps"`, `pwm 65% 100Hz`."""
    words = Words(draft, row)
    pin = words.word()
    if not pin:
        draft.missing(row.line, "out", OUT_EXAMPLE)
        return []
    made = Output(pin, "", "", span=row.line.span(row.head))
    while (token := words.take()) is not None:
        if token.kind == STRING:
            made = replace(made, label=token.text)
        elif token.is_word("high-side", "low-side"):
            made = replace(made, side=token.text.removesuffix("-side"))
        elif token.is_word("from", "to") and words.waiting:
            made = replace(made, source=words.word())
        elif token.is_word("latches-off"):
            made = replace(made, latches_off=True)
        elif token.is_word("test-pulse"):
            made = replace(made, test_pulse=True)
        elif token.is_word("max", "off-leak") and (current := words.number("A")) is not None:
            made = _with_current(made, token.text, current.band)
        elif token.is_word("pwm"):
            share, rate = words.number("%"), words.number("/min")
            made = replace(
                made,
                pwm_share=share.band.nominal if share and share.band else 1.0,
                pwm_hz=rate.band.nominal / 60.0 if rate and rate.band else 0.0,
            )
        else:
            words.unexpected(token, "high-side", "low-side", "from", "to", "max 8A", "latches-off", "off-leak 0.2mA",
                             "test-pulse", "pwm 65% 100Hz")  # fmt: skip
    if not made.side:
        draft.missing(row.line, "out", OUT_EXAMPLE)
        return []
    return [made]


def _with_current(output: Output, word: str, band: Band | None) -> Output:
    if word == "max":
        return replace(output, limit_a=band or assumed("output.limit_a"))
    return replace(output, off_leak_a=band)


def read_contact(draft: Draft, row: Row, count: int) -> list[DryContact]:
    """`contact rest: 53e=31b | tick: 53e=15`, with a name of its own before `rest` if there are several."""
    read = read_positions(draft, row.line, row.rest, "contact", need_rest=False)
    by_name = {position.name: position.pairs for position in read.positions}
    if not by_name or not set(by_name) <= {"rest", "tick"}:
        draft.missing(row.line, "contact", "contact rest: 53e=31b | tick: 53e=15")
        return []
    name = read.lead[0].text if read.lead else "contact" if not count else f"contact{count + 1}"
    return [DryContact(name, by_name.get("rest", ()), by_name.get("tick", ()))]


def read_codes(draft: Draft, row: Row) -> list[TroubleCode]:
    """`code X1/14 low "B1026" | X1/14 open "B1027"`."""
    made: list[TroubleCode] = []
    group: list[Token] = []
    for token in (*row.rest, None):
        if token is not None and not token.is_mark("|"):
            group.append(token)
            continue
        words = [one.is_word() or one.kind == STRING for one in group]
        whole = len(group) == 3 and group[0].is_word() and group[1].is_word() and words[2]
        if whole and group[1].text in SAW:
            made.append(TroubleCode(group[0].text, group[1].text, " ".join(group[2].text.split())))
        elif whole:
            draft.unexpected(row.line, group[1], "code", SAW)
        else:
            draft.missing(row.line, "code", CODE_EXAMPLE)
            return made
        group = []
    return made
