"""Trouble codes as one types them, and what is said of them."""

from loombench.app.case import Case
from loombench.app.eventwords import code_texts
from loombench.base.outcome import Outcome
from loombench.base.wording import Catalogue
from loombench.diagnose.codes import known_codes
from loombench.evidence.events import CodesRead
from loombench.text.names import read_condition


def codes_read(case: Case, text: str) -> Outcome[CodesRead | None]:
    """The codes that a text lists: `A2 B1026, B1027 when S3=on`, module and state only where they are known; `none` for
    none."""
    said, mark, operations = text.partition(" when ")
    condition = read_condition(case.bench.vehicle, operations) if mark else None
    if condition is not None and not condition.usable:
        return Outcome(None, condition.problems)
    module, rest = "", said
    if names_module(case, said):
        module, _, rest = said.strip().partition(" ")
    codes = tuple(one.strip() for one in rest.split(",") if one.strip() and one.strip().lower() != "none")
    return Outcome(CodesRead(codes, module, None if condition is None else condition.value))


def names_module(case: Case, text: str) -> bool:
    """Whether a line begins with a module and goes on with what the drawing has for a code of it."""
    name, _, rest = text.strip().partition(" ")
    part = case.bench.vehicle.parts.get(name)
    words = rest.partition(" when ")[0].split(",")
    known = [] if part is None or part.module is None else [one.text.casefold() for one in part.module.codes]
    return any(word.strip().casefold() in known for word in words)


def said_of_codes(case: Case, read: CodesRead, words: Catalogue) -> tuple[str, ...]:
    """What each code says by the drawing, then those that it does not have; nothing where it has none at all."""
    vehicle = case.bench.vehicle
    known = {one.text.casefold() for one in known_codes(vehicle, read)}
    drawn = any(part.module is not None and part.module.codes for part in vehicle.parts.values())
    left = [one for one in read.codes if drawn and one.casefold() not in known]
    said = [f"  {line}" for line in code_texts(case.bench, read, words)]
    return (*said, *(words.say("session.code-unknown", code=one) for one in left))
