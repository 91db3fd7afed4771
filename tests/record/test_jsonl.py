"""The store of a folder: the contract, and what happens to files that were cut, damaged, moved or locked."""

import os
import tempfile
from pathlib import Path
from unittest.mock import patch

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.evidence.codec import encode_line
from loombench.record.jsonl import JsonlStore
from loombench.record.lines import understand
from loombench.record.lock import locked
from loombench.record.names import case_name, file_name
from loombench.record.store import EventStore
from tests.record.contract import StoreContract, refusal
from tests.record.samples import CASE, event

FILE = "case-2026-014.jsonl"


class TestJsonlStore(StoreContract):
    @pytest.fixture(autouse=True)
    def _folder(self, tmp_path: Path) -> None:
        self.root = tmp_path
        self.places: dict[int, Path] = {}

    def store(self) -> EventStore:
        place = Path(tempfile.mkdtemp(dir=self.root)) / "made" / "on demand"
        store = JsonlStore(place)
        self.places[id(store)] = place
        return store

    def again(self, store: EventStore) -> EventStore:
        return JsonlStore(self.places[id(store)])


def filled(folder: Path, count: int) -> Path:
    store = JsonlStore(folder)
    for number in range(1, count + 1):
        store.append(event(number))
    return folder / FILE


def codes(store: JsonlStore, case: str = CASE) -> list[str]:
    return [item.code for item in store.read(case).problems]


def test_the_file_is_one_line_for_each_event(tmp_path: Path) -> None:
    assert filled(tmp_path, 2).read_text() == f"{encode_line(event(1))}\n{encode_line(event(2))}\n"


def test_each_line_is_on_the_disk_before_it_is_acknowledged(tmp_path: Path) -> None:
    """The file is forced after its line is written and before `append` returns; a new file's folder is forced too."""
    done: list[str] = []

    def write(handle: int, data: bytes) -> int:
        done.append("write")
        return real_write(handle, data)

    def fsync(handle: int) -> None:
        done.append("folder" if Path(f"/proc/self/fd/{handle}").resolve().is_dir() else "file")
        real_fsync(handle)

    real_write, real_fsync = os.write, os.fsync
    store = JsonlStore(tmp_path)
    with patch("os.write", write), patch("os.fsync", fsync):
        store.append(event(1))
        store.append(event(2))
    assert done == ["folder", "write", "file", "write", "file"]


@pytest.mark.parametrize("cut", [1, 2, 30, 100])
def test_a_torn_line_is_said_kept_aside_and_does_not_spoil_the_next(tmp_path: Path, cut: int) -> None:
    path = filled(tmp_path, 3)
    data = path.read_bytes()
    last = data.splitlines(keepends=True)[-1]
    path.write_bytes(data[:-cut])
    store = JsonlStore(tmp_path)
    whole = cut == 1  # only the line's end is missing: the event is all there
    assert store.read(CASE).value == tuple(event(number) for number in range(1, 4 if whole else 3))
    assert codes(store) == ([] if whole else ["record-torn"])
    assert path.read_bytes() == data[:-cut]
    store.append(event(store.next_number(CASE)))
    assert store.read(CASE).value == tuple(event(number) for number in range(1, 5 if whole else 4))
    assert codes(JsonlStore(tmp_path)) == ([] if whole else ["record-torn"])
    kept = [entry.read_bytes() for entry in tmp_path.glob("*.torn-*")]
    assert kept == ([] if whole else [last[:-cut]])


def test_each_torn_piece_has_a_file_of_its_own(tmp_path: Path) -> None:
    path = filled(tmp_path, 1)
    for number in (2, 3):
        with path.open("ab") as file:
            file.write(b'{"format":1,"piece":%d' % number)
        JsonlStore(tmp_path).append(event(number))
    assert [item.fact("kept") for item in JsonlStore(tmp_path).read(CASE).problems] == [
        f"{FILE}.torn-1", f"{FILE}.torn-2",
    ]  # fmt: skip


@given(st.integers(0, 1000))
def test_wherever_the_file_is_cut_the_whole_lines_before_are_read(cut: int) -> None:
    lines = [encode_line(event(number)).encode() + b"\n" for number in (1, 2, 3)]
    data = b"".join(lines)[:cut]
    content = understand(data, FILE, CASE)
    whole = sum(len(b"".join(lines[:count])) - 1 <= cut for count in (1, 2, 3))
    assert [one.number for one in content.events] == list(range(1, whole + 1))
    assert content.problems == ()
    assert bool(content.torn) == (len(data) > len(b"".join(lines[:whole])))


def test_a_damaged_line_is_named_and_the_rest_is_read(tmp_path: Path) -> None:
    path = filled(tmp_path, 4)
    lines = path.read_bytes().split(b"\n")
    lines[1] = b"\xff" + lines[1][1:]
    lines[2] = b""
    path.write_bytes(b"\n".join(lines))
    store = JsonlStore(tmp_path)
    assert store.read(CASE).value == (event(1), event(4))
    assert [(item.code, item.spans[0].line) for item in store.read(CASE).problems] == [
        ("event-json", 2), ("event-json", 3),
    ]  # fmt: skip
    store.append(event(5))
    assert store.read(CASE).value == (event(1), event(4), event(5))


def test_a_damaged_last_line_keeps_its_number(tmp_path: Path) -> None:
    path = filled(tmp_path, 2)
    lines = path.read_bytes().splitlines()
    path.write_bytes(lines[0] + b"\nxxx\n")
    store = JsonlStore(tmp_path)
    assert store.next_number(CASE) == 3
    store.append(event(3))
    assert store.read(CASE).value == (event(1), event(3))


@given(st.binary(max_size=300))
def test_no_bytes_raise(data: bytes) -> None:
    content = understand(data, FILE, CASE)
    assert content.events == ()
    assert bool(content.problems or content.torn) == bool(data)


def test_a_newer_format_is_read_but_nothing_is_added(tmp_path: Path) -> None:
    path = filled(tmp_path, 2)
    text = path.read_text().splitlines()
    newer = text[1].replace('"format":1', '"format":2')
    path.write_text(f"{text[0]}\n{newer}\n")
    before = path.read_bytes()
    store = JsonlStore(tmp_path)
    assert store.read(CASE).value == (event(1),)
    assert codes(store) == ["event-format"]
    assert refusal(store, event(3)) == "record-newer"
    assert path.read_bytes() == before


def test_a_file_of_another_case_is_left_alone(tmp_path: Path) -> None:
    path = filled(tmp_path, 2)
    path.rename(tmp_path / "case-other.jsonl")
    before = (tmp_path / "case-other.jsonl").read_bytes()
    store = JsonlStore(tmp_path)
    assert store.read("other").value == ()
    assert codes(store, "other") == ["record-foreign", "record-foreign"]
    assert refusal(store, event(1, "other")) == "record-foreign"
    assert (tmp_path / "case-other.jsonl").read_bytes() == before


def test_two_stores_of_one_folder_see_each_other(tmp_path: Path) -> None:
    one, other = JsonlStore(tmp_path), JsonlStore(tmp_path)
    one.append(event(1))
    other.append(event(2))
    assert refusal(one, event(2)) == "record-next"
    one.append(event(3))
    assert other.read(CASE).value == (event(1), event(2), event(3))


def test_a_file_that_was_replaced_is_read_anew(tmp_path: Path) -> None:
    store = JsonlStore(tmp_path)
    store.append(event(1))
    (tmp_path / "copy").write_bytes((tmp_path / FILE).read_bytes())
    (tmp_path / "copy").replace(tmp_path / FILE)
    store.append(event(2))
    assert store.read(CASE).value == (event(1), event(2))


def test_who_holds_the_lock_is_waited_for_and_then_said(tmp_path: Path) -> None:
    path = filled(tmp_path, 1)
    store = JsonlStore(tmp_path, wait_s=0.05)
    with path.open("rb") as file, locked(file.fileno(), 0.0):
        assert refusal(store, event(2)) == "record-busy"
        assert codes(store) == ["record-busy"]
    with path.open("rb") as file, locked(file.fileno(), 0.0, shared=True):
        assert store.read(CASE).value == (event(1),)
    store.append(event(2))
    assert store.read(CASE).value == (event(1), event(2))


def test_other_files_of_the_folder_are_no_cases(tmp_path: Path) -> None:
    filled(tmp_path, 1)
    for name in ("notes.txt", "case-.jsonl", "case-a b.jsonl", "case-%zz.jsonl", "case-x.jsonl.torn-1"):
        (tmp_path / name).write_text("{}")
    assert JsonlStore(tmp_path).cases() == (CASE,)


@given(st.text(min_size=1, max_size=15).filter(lambda text: text.isascii()))
def test_file_names_are_one_to_one_and_harmless(case: str) -> None:
    name = file_name(case)
    assert case_name(name) == case
    assert not set(name) & set('/\\:*?"<>| \n')
