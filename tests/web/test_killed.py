"""Whatever is done to the served bench: each reading that a page was told is kept is there, once."""

import random
from pathlib import Path

import pytest

from tests.record.killing import cut_power, unsynced
from tests.record.powercut import Disk, build_shim, calls, watched
from tests.web.killing import Page, careless, kill_served, look_numbers, look_served, said_over_http, watched_sends

KILLS = 2


def test_killed_at_random_moments(tmp_path: Path) -> None:
    place, page, draw = tmp_path / "store" / "jobs.sqlite", Page(), random.Random(1)
    for _ in range(KILLS):
        kill_served(place, page, draw, least=2, most=8)
        found = look_served(place, page)
        assert (found.lost, found.doubled, found.unclean) == (0, 0, 0)
        assert len(page.answered) <= found.events <= len(page.sent)
    assert len(page.answered) > 1
    # The judge itself: it sees what is lost and what is there though nobody sent it.
    page.answered.append(99_999)
    assert look_served(place, page).lost == 1
    page.answered.pop()
    page.sent.remove(page.answered[0])
    assert look_served(place, page).doubled == 1


@pytest.mark.compiler
def test_what_is_answered_was_synced_and_outlasts_a_power_cut(tmp_path: Path) -> None:
    place, log, page, draw = tmp_path / "store" / "jobs.sqlite", tmp_path / "log", Page(), random.Random(2)
    place.parent.mkdir()
    disk = Disk(place.parent)
    kill_served(place, page, draw, watched_sends(watched(build_shim(tmp_path), place.parent, log)), 2, 8)
    acknowledged, early = unsynced(list(calls(log.read_bytes())), said_over_http)
    assert acknowledged >= len(page.answered) > 0
    assert early == 0
    cuts = cut_power(
        disk, log, [], draw, 8, tmp_path / "cut", said_over_http, lambda left, said: look_numbers(left, page, said)
    )
    assert {(cut.found.lost, cut.found.doubled, cut.found.unclean) for cut in cuts} == {(0, 0, 0)}
    assert max(cut.found.events for cut in cuts) > len(page.answered)


@pytest.mark.compiler
def test_a_server_that_does_not_sync_is_caught(tmp_path: Path) -> None:
    place, log, page, draw = tmp_path / "store" / "jobs.sqlite", tmp_path / "log", Page(), random.Random(4)
    place.parent.mkdir()
    disk = Disk(place.parent)
    environment = careless(watched_sends(watched(build_shim(tmp_path), place.parent, log)))
    kill_served(place, page, draw, environment, 2, 8)
    acknowledged, early = unsynced(list(calls(log.read_bytes())), said_over_http)
    assert early == acknowledged >= len(page.answered) > 0
    cuts = cut_power(
        disk, log, [], draw, 0, tmp_path / "cut", said_over_http, lambda left, said: look_numbers(left, page, said)
    )
    assert max(cut.found.lost for cut in cuts) > 0
