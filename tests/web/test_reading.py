"""Reading the program in one go: nothing is looked through for waste meanwhile, and again after."""

import gc
import sys

import pytest

from loombench.shell.web.forking import WORKER
from loombench.shell.web.reading import undisturbed


def test_nothing_is_looked_through_while_it_is_read() -> None:
    with undisturbed():
        assert not gc.isenabled()
    assert gc.isenabled()
    assert gc.get_freeze_count() > 0
    gc.unfreeze()


def test_it_goes_on_after_what_could_not_be_read() -> None:
    with pytest.raises(ModuleNotFoundError), undisturbed():
        raise ModuleNotFoundError
    assert gc.isenabled()
    gc.unfreeze()


def test_what_workers_split_off_from_has_read_all_a_worker_needs() -> None:
    __import__(WORKER)
    assert "loombench.shell.web.worker" in sys.modules
    assert gc.isenabled()
