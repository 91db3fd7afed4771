"""Suspects and repairs in words of the catalogue."""

from loombench.base.wording import Catalogue
from loombench.diagnose.bench import Bench
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED
from loombench.diagnose.repair import repair


def suspect_text(bench: Bench, group: str, words: Catalogue) -> str:
    """A suspect as a colleague names it."""
    if group in (SOUND, UNEXPLAINED):
        return words.say(f"suspect.{group}")
    job = repair(bench, group)
    return words.say(f"suspect.{job.key}", **dict(job.facts))


def job_text(bench: Bench, group: str, words: Catalogue) -> str:
    """What to do about a suspect; of one on a forbidden circuit, whose work it is."""
    if group in (SOUND, UNEXPLAINED):
        return ""
    job = repair(bench, group)
    facts = {key: value or "-" for key, value in job.facts}
    return words.say(f"repair.{job.key if job.allowed else 'maker'}", **facts)
