"""What is on the shelf of a folder, whatever somebody has put there."""

import os
import socket
from pathlib import Path

import pytest

from loombench.app.desk import shelf as module
from loombench.app.desk.shelf import shelf

TEXT = 'loombench 1\nvehicle "{}" 12V\n'


def put(folder: Path, name: str, called: str = "A") -> Path:
    file = folder / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(TEXT.format(called), encoding="utf-8")
    return file


def found(folder: Path) -> dict[str, str]:
    """Address to name."""
    return {one.id: one.name for one in shelf(folder).value}


def test_each_main_file_and_each_file_by_itself_is_a_vehicle(tmp_path: Path) -> None:
    put(tmp_path, "van/vehicle.circuit", "Van")
    put(tmp_path, "van/rear/door.circuit", "no vehicle")
    put(tmp_path, "trailers/low.circuit", "Trailer")
    put(tmp_path, "lamp.circuit", "Lamp")
    put(tmp_path, "notes.txt")
    assert found(tmp_path) == {"van": "Van", "trailers.low": "Trailer", "lamp": "Lamp"}


def test_a_folder_that_is_a_vehicle_is_called_by_its_own_name(tmp_path: Path) -> None:
    put(tmp_path, "My Van/vehicle.circuit", "Van")
    assert found(tmp_path / "My Van") == {"my-van": "Van"}


def test_addresses_that_would_be_alike_get_a_number(tmp_path: Path) -> None:
    for name in ("a b.circuit", "a-b.circuit", "A?b.circuit", "é.circuit"):
        put(tmp_path, name, name)
    assert set(found(tmp_path)) == {"a-b", "a-b-2", "a-b-3", tmp_path.name.casefold()}


@pytest.mark.parametrize("name", ['"><script>x</script>', "..", "a&b", "\u202egpj", "a\tb", "%2e%2e", "x" * 200])
def test_an_address_is_plain_whatever_the_file_is_called(tmp_path: Path, name: str) -> None:
    put(tmp_path, f"{name}.circuit".replace("/", "-"))
    (address,) = found(tmp_path)
    assert all(letter.isascii() and (letter.isalnum() or letter in ".-_") for letter in address)
    assert not address.startswith(".")


def test_no_link_leads_out_of_the_folder(tmp_path: Path) -> None:
    inside, outside = tmp_path / "inside", tmp_path / "outside"
    put(outside, "secret.circuit", "Secret")
    put(outside, "whole/vehicle.circuit", "Secret")
    put(inside, "plain.circuit", "Plain")
    (inside / "file.circuit").symlink_to(outside / "secret.circuit")
    (inside / "folder").symlink_to(outside)
    (inside / "ring").symlink_to(inside)
    (inside / "gone.circuit").symlink_to(outside / "gone.circuit")
    (inside / "other.circuit").symlink_to(inside / "plain.circuit")
    assert set(found(inside)) == {"plain", "other"}


def test_what_is_no_file_is_not_opened(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.circuit")
    (tmp_path / "folder.circuit").mkdir()
    with socket.socket(socket.AF_UNIX) as listening:
        here = Path.cwd()
        os.chdir(tmp_path)
        try:
            listening.bind("socket.circuit")
        finally:
            os.chdir(here)
        put(tmp_path, "plain.circuit")
        assert set(found(tmp_path)) == {"plain"}


def test_a_hidden_folder_is_left_out(tmp_path: Path) -> None:
    put(tmp_path, ".trash/old.circuit")
    put(tmp_path, "plain.circuit")
    assert set(found(tmp_path)) == {"plain"}


@pytest.mark.parametrize("data", [b"", b"\xff\xfe\x00" * 100, b"vehicle", b'vehicle "', b'vehicle "\n"', b"\x00" * 10])
def test_a_file_that_says_no_name_is_called_by_its_address(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "some.circuit").write_bytes(data)
    assert found(tmp_path) == {"some": "some"}


def test_of_an_endless_line_only_the_beginning_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "HEAD_BYTES", 100)
    (tmp_path / "long.circuit").write_text("# " + "x" * 200 + TEXT.format("too late"), encoding="utf-8")
    (tmp_path / "name.circuit").write_text(TEXT.format("n" * 500), encoding="utf-8")
    assert found(tmp_path) == {"long": "long", "name": "name"}


def test_a_folder_with_far_too_much_in_it_is_not_looked_through(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "MOST", 3)
    monkeypatch.setattr(module, "MOST_FOLDERS", 4)
    for number in range(6):
        put(tmp_path, f"{number}.circuit")
        put(tmp_path, f"{number}/more.circuit")
    assert len(found(tmp_path)) == 3


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    put(tmp_path, "file")
    for place in (tmp_path / "gone", tmp_path / "file"):
        assert [one.code for one in shelf(place).problems] == ["desk-folder"]
