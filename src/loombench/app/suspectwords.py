"""Suspects, repairs, faults and their causes in words of the catalogue."""

from loombench.app.spoken import kind_text, without_gaps
from loombench.base.quantity import print_quantity
from loombench.base.wording import Catalogue
from loombench.circuit.fault import UNDRAWN, Fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.cause import causes
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED, halves
from loombench.diagnose.repair import BETWEEN, Repair, repair
from loombench.diagnose.suspect import JOINING, kind_of, point_of
from loombench.vehicle.model import Vehicle
from loombench.vehicle.trace import ACTING

GROUND = "ground"
"""What a wire chafed through to metal is joined with."""
JOINTS = ("wire", "contact", "blade", "ring", "splice")


def suspect_text(bench: Bench, group: str, words: Catalogue) -> str:
    """A suspect as a colleague names it."""
    if group in (SOUND, UNEXPLAINED):
        return words.say(f"suspect.{group}")
    if len(halves(group)) > 1:
        one, other = (suspect_text(bench, half, words) for half in halves(group))
        return words.say("suspect.both", one=one, other=other)
    job = repair(bench, group)
    return words.say(f"suspect.{job.key}", **facts_of(job, words))


def facts_of(job: Repair, words: Catalogue) -> dict[str, str]:
    """The facts of a repair, its part's kind and a control's positions in words."""
    facts = dict(job.facts)
    if "kind" in facts:
        facts["kind"] = kind_text(facts["kind"], words)
    if facts.get("to") == GROUND:
        facts["to"] = words.say("kind.ground")
    if job.key == "control":
        positions = (words.say("position.undrawn") if one == UNDRAWN else one for one in facts["to"].split(BETWEEN))
        facts["to"] = words.say("position.or").join(positions)
    return facts


def job_text(bench: Bench, group: str, words: Catalogue) -> str:
    """What to do about a suspect; of one on a forbidden circuit, whose work it is."""
    if group in (SOUND, UNEXPLAINED):
        return ""
    if len(halves(group)) > 1:
        one, other = (job_text(bench, half, words) for half in halves(group))
        return words.say("repair.both", one=one, other=other)
    job = repair(bench, group)
    return without_gaps(words.say(f"repair.{job.key if job.allowed else 'maker'}", **facts_of(job, words)))


def cause_text(bench: Bench, group: str, words: Catalogue) -> str:
    """What may have brought a suspect about and what to look for, so that it does not come back."""
    if group in (SOUND, UNEXPLAINED):
        return ""
    return " ".join(words.say(f"cause.{key}") for half in halves(group) for key in causes(bench, half))


def fault_text(vehicle: Vehicle, fault: Fault, words: Catalogue) -> str:
    """One fault as a colleague names it: "blade F12.in loose, 0.5 ohm in it"."""
    point = point_of(fault)
    facts = {"target": fault.target, "to": fault.to, "point": point or fault.target}
    ohm = print_quantity(fault.ohm, "ohm")
    return words.say(f"fault.{fault.mode}-{_named(vehicle, fault)}", **facts, ohm=ohm)


def _named(vehicle: Vehicle, fault: Fault) -> str:
    if fault.mode == "position":
        return UNDRAWN if fault.to == UNDRAWN else "control"
    what = kind_of(vehicle, fault)
    if fault.mode in JOINING:
        return "inside" if what in ACTING else what
    return what if what in JOINTS else "part"
