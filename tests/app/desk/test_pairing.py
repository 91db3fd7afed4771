"""Pairing by a code: what it is good for, and what guessing costs."""

import json
from pathlib import Path

import pytest

from loombench.app.desk.devices import Devices
from loombench.app.desk.pairing import (
    FIRST_WAIT_OF_ALL_S,
    GOOD_FOR_S,
    LONGEST_WAIT_OF_ALL_S,
    MOST_WRONG,
    Answer,
    Pairing,
    drawn_code,
)

SINCE = "2026-03-02T14:00+01:00"


class Clock:
    """Seconds that a test sets."""

    def __init__(self) -> None:
        self.s = 1000.0

    def __call__(self) -> float:
        return self.s


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def pairing(clock: Clock) -> Pairing:
    """Its codes are 00000001, 00000002 and so on."""
    drawn = iter(f"{number:08}" for number in range(1, 10_000))
    return Pairing(clock, lambda: next(drawn))


def test_nobody_pairs_before_a_person_asks(pairing: Pairing) -> None:
    assert pairing.offered() is None
    assert pairing.tried("a", "").answer is Answer.CLOSED
    assert pairing.tried("a", "00000001").answer is Answer.CLOSED


@pytest.mark.parametrize("given", ["00000001", "0000 0001", " 0000-0001 "])
def test_the_code_pairs_once(pairing: Pairing, given: str) -> None:
    pairing.begin()
    assert pairing.tried("a", given).answer is Answer.PAIRED
    assert pairing.offered() is None
    assert pairing.tried("a", given).answer is Answer.CLOSED


@pytest.mark.parametrize("given", ["", "0", "1", "0000000", "000000001", "٠٠٠٠٠٠٠١", "\ud800", "x" * 80])
def test_what_is_not_the_code_does_not(pairing: Pairing, given: str) -> None:
    pairing.begin()
    assert pairing.tried("a", given).answer is Answer.WRONG


def test_the_code_is_good_for_five_minutes(pairing: Pairing, clock: Clock) -> None:
    pairing.begin()
    clock.s += GOOD_FOR_S - 1
    assert pairing.offered() is not None
    clock.s += 1
    assert pairing.offered() is None
    assert pairing.tried("a", "00000001").answer is Answer.CLOSED


def test_a_wrong_try_makes_its_client_wait_longer_each_time(pairing: Pairing, clock: Clock) -> None:
    pairing.begin()
    waits = []
    for _ in range(4):
        waits.append(pairing.tried("a", "no").wait_s)
        assert pairing.tried("a", "00000001").answer is Answer.WAIT
        clock.s += waits[-1]
    assert waits == [1, 2, 4, 8]
    assert pairing.tried("a", "00000001").answer is Answer.PAIRED


def test_whoever_changes_address_gains_nothing(pairing: Pairing, clock: Clock) -> None:
    pairing.begin()
    for number in range(MOST_WRONG):
        pairing.tried(f"client {number}", "no")
    assert pairing.tried("another", "00000002").answer is Answer.WAIT
    assert pairing.wait_s("yet another") == FIRST_WAIT_OF_ALL_S
    clock.s += FIRST_WAIT_OF_ALL_S
    assert pairing.tried("another", "00000001").answer is Answer.WRONG
    assert pairing.tried("a third", "00000002").answer is Answer.PAIRED


def test_a_new_code_does_not_prolong_the_time_nor_lift_the_wait(pairing: Pairing, clock: Clock) -> None:
    pairing.begin()
    clock.s += GOOD_FOR_S - 5
    for number in range(MOST_WRONG):
        pairing.tried(f"client {number}", "no")
    offered = pairing.offered()
    assert offered is not None
    assert (offered.code, offered.left_s) == ("00000002", 5)
    pairing.begin()
    assert pairing.tried("a", "00000003").answer is Answer.WAIT


def test_a_day_of_guessing_gets_few_tries(pairing: Pairing, clock: Clock) -> None:
    """Even if somebody at the laptop asked for a new code again and again for a day."""
    tries, end_s = 0, clock.s + 24 * 3600
    while clock.s < end_s:
        if pairing.offered() is None:
            pairing.begin()
        tries += pairing.tried(f"address {tries}", "no").answer is Answer.WRONG
        clock.s += max(pairing.wait_s(f"address {tries}"), 0.01)
    assert MOST_WRONG * 24 * 3600 / LONGEST_WAIT_OF_ALL_S < tries < 800


def test_who_waits_takes_little_memory(pairing: Pairing, clock: Clock) -> None:
    pairing.begin()
    for number in range(2000):
        clock.s += pairing.wait_s(f"address {number}")
        if pairing.offered() is None:
            pairing.begin()
        pairing.tried(f"address {number}", "no")
    assert len(pairing._clients) <= 256


def test_a_drawn_code_is_eight_digits() -> None:
    codes = {drawn_code() for _ in range(200)}
    assert len(codes) > 190
    assert all(len(one) == 8 and one.isdigit() for one in codes)


def test_a_device_is_known_by_its_token_after_a_restart(tmp_path: Path) -> None:
    token = Devices(tmp_path).add(" Tablet\n one ", SINCE).value
    assert token is not None
    found = Devices(tmp_path).of(token)
    assert found is not None
    assert (found.name, found.since) == ("Tablet one", SINCE)
    assert Devices(tmp_path).of(token + "x") is None
    assert Devices(tmp_path).of("") is None
    assert len(token) >= 43


def test_the_token_is_not_in_the_file_and_the_file_is_for_its_user_alone(tmp_path: Path) -> None:
    token = Devices(tmp_path).add("Tablet", SINCE).value
    assert token is not None
    file = tmp_path / "devices.json"
    assert token not in file.read_text(encoding="utf-8")
    assert file.stat().st_mode & 0o077 == 0
    digest = json.loads(file.read_text(encoding="utf-8"))["devices"][0]["digest"]
    assert Devices(tmp_path).of(digest) is None


def test_a_revoked_device_is_out_at_once_and_after_a_restart(tmp_path: Path) -> None:
    devices = Devices(tmp_path)
    kept, gone = devices.add("one", SINCE).value, devices.add("two", SINCE).value
    assert kept is not None
    assert gone is not None
    device = devices.of(gone)
    assert device is not None
    assert devices.revoke(device.id) is None
    for known in (devices, Devices(tmp_path)):
        assert known.of(gone) is None
        assert known.of(kept) is not None
        assert not known.has(device)


def test_a_tablet_can_be_paired_before_anything_else_is_kept(tmp_path: Path) -> None:
    token = Devices(tmp_path / "new" / "store").add("Tablet", SINCE).value
    assert token is not None
    assert Devices(tmp_path / "new" / "store").of(token) is not None


def test_what_cannot_be_kept_is_not_paired_but_out_when_revoked(tmp_path: Path) -> None:
    devices = Devices(tmp_path / "store")
    token = devices.add("one", SINCE).value
    assert token is not None
    device = devices.of(token)
    assert device is not None
    (tmp_path / "store" / "devices.json").unlink()
    (tmp_path / "store").rmdir()
    (tmp_path / "store").write_text("", encoding="utf-8")
    assert [one.code for one in devices.add("two", SINCE).problems] == ["devices-unkept"]
    assert len(devices.all()) == 1
    wrong = devices.revoke(device.id)
    assert wrong is not None
    assert wrong.code == "devices-unkept"
    assert devices.of(token) is None


@pytest.mark.parametrize(
    "text", ["", "{", "[]", '{"format": 2, "devices": []}', '{"format": 1, "devices": [4]}', '{"format": 1}',
             '{"format": 1, "devices": [{"id": "a"}]}', "[" * 100_000],
)  # fmt: skip
def test_a_damaged_list_lets_nobody_in(tmp_path: Path, text: str) -> None:
    (tmp_path / "devices.json").write_text(text, encoding="utf-8")
    devices = Devices(tmp_path)
    assert [one.code for one in devices.problems] == ["devices-unread"]
    assert devices.all() == ()
