"""The first screen: the jobs where they were left, the vehicles there are, and what a skeleton can start from."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from loombench.app.desk.asking import Asked
from loombench.app.desk.desk import Desk, Task
from loombench.app.desk.saying import Told, told
from loombench.app.desk.shelf import Shelved
from loombench.app.joblist import Job
from loombench.app.jobs import stored_jobs


@dataclass(frozen=True)
class FirstScreen:
    """What the first screen shows."""

    jobs: tuple[Job, ...]
    vehicles: tuple[Shelved, ...]
    problems: tuple[Told, ...]


def first_screen(desk: Desk, asked: Asked) -> FirstScreen:
    """The jobs of the store, open ones first, and the vehicles of the folder."""
    store, shelf = desk.store(), desk.shelf()
    listed = stored_jobs(store.value, asked.words) if store.value is not None else None
    problems = (*store.problems, *shelf.problems, *(listed.problems if listed else ()))
    return FirstScreen(listed.value if listed else (), shelf.value, told(problems, asked.words))


TASKS: Mapping[str, Task] = MappingProxyType({"first.screen": first_screen})
