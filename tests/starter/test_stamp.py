"""The stamp of an environment: read back as written, and anything unreadable means 'set up again'."""

from pathlib import Path
from types import MappingProxyType

import pytest
from hypothesis import given
from hypothesis import strategies as st

from starter.stamp import Stamp, fingerprint, read, write


@given(st.text(), st.dictionaries(st.text(), st.text()), st.dictionaries(st.text(), st.text()))
def test_what_was_written_is_read(
    tmp_path_factory: pytest.TempPathFactory, python: str, installed: dict[str, str], absent: dict[str, str]
) -> None:
    stamp = Stamp(python, MappingProxyType(installed), MappingProxyType(absent))
    path = tmp_path_factory.mktemp("stamp") / "stamp.json"
    write(path, stamp)
    assert read(path) == stamp


@pytest.mark.parametrize(
    "text", ["", "{", "[]", "null", "3", '{"python": "3.11"}', '{"python": 1, "installed": [], "absent": 2}']
)
def test_an_unreadable_stamp_is_no_stamp(tmp_path: Path, text: str) -> None:
    (tmp_path / "stamp.json").write_text(text, encoding="utf-8")
    assert read(tmp_path / "stamp.json") == Stamp()


def test_no_stamp_is_no_stamp(tmp_path: Path) -> None:
    assert read(tmp_path / "stamp.json") == Stamp()


def test_a_lock_checked_out_elsewhere_has_the_same_fingerprint(tmp_path: Path) -> None:
    (tmp_path / "here").write_bytes(b"numpy==2\nb==1\n")
    (tmp_path / "there").write_bytes(b"numpy==2\r\nb==1\r\n")
    (tmp_path / "other").write_bytes(b"numpy==3\nb==1\n")
    assert fingerprint(tmp_path / "here") == fingerprint(tmp_path / "there") != fingerprint(tmp_path / "other")
