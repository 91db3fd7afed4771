"""KBL files as wholes: versions, prefixes, what is none, what is cut off; never an exception, never half a harness."""

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.exchange.kbl.read import read_kbl
from tests.exchange.kblframe import framed

MINI = (Path(__file__).parents[1] / "samples" / "mini.kbl").read_bytes()


@pytest.mark.parametrize("version", ["2.3", "2.3 SR-1", "2.4", "2.4 SR-1", "2.5", "2.5 SR-1"])
def test_each_version_is_read(version: str) -> None:
    imported = read_kbl(framed("").replace("2.4 SR-1", version).encode(), "x.kbl")
    assert imported.harness is not None
    assert len(imported.harness.wires) == 2
    assert imported.problems == ()


@pytest.mark.parametrize("version", ["", "3.0", "KBL"])
def test_another_version_is_read_with_a_warning(version: str) -> None:
    imported = read_kbl(framed("").replace("2.4 SR-1", version).encode(), "x.kbl")
    assert imported.harness is not None
    assert dict(imported.repairs) == {"kbl-version": 1}


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b'<KBL_schema version_id="2.2"><Harness/></KBL_schema>', "kbl-old"),
        (framed("").replace("2.4 SR-1", "2.2").encode(), "kbl-old"),
        (b"<Something/>", "kbl-root"),
        (b'<KBL_container version_id="2.4"/>', "kbl-no-harness"),
        (MINI[:6000], "xml-broken"),
        (b"", "xml-broken"),
        (b"\x89PNG\r\n", "xml-broken"),
        (b"<!DOCTYPE x []>" + MINI.partition(b"?>")[2], "xml-doctype"),
    ],
)
def test_what_is_no_kbl_is_refused_whole(data: bytes, code: str) -> None:
    imported = read_kbl(data, "x.kbl")
    assert imported.harness is None
    assert [one.code for one in imported.problems if one.level.value == "error"] == [code]
    assert imported.problems[-1].spans[0].file == "x.kbl"


@pytest.mark.parametrize(
    "other",
    [
        lambda text: text.replace("kbl:", "ns1:").replace("xmlns:kbl", "xmlns:ns1"),
        lambda text: text.replace("<kbl:", "<").replace("</kbl:", "</").replace("xmlns:kbl=", "xmlns="),
        lambda text: text.replace("xsi:type", "x:type").replace("xmlns:xsi", "xmlns:x"),
        lambda text: text.replace(' xsi:type="kbl:Wire_occurrence"', "").replace(' xsi:type="kbl:Slot_occurrence"', ""),
        lambda text: text.replace("\n", "\r\n"),
        lambda text: text.replace("<Id>", "<!-- said --><Id>"),
        lambda text: text.replace("<Connector_occurrence ", "<kbl:Connector_occurrence ").replace(
            "</Connector_occurrence>", "</kbl:Connector_occurrence>"
        ),
    ],
)  # fmt: skip
def test_prefixes_and_form_change_nothing(other: Callable[[str], str]) -> None:
    text = MINI.decode("utf-8")
    plain, changed = read_kbl(MINI, "x.kbl").harness, read_kbl(other(text).encode(), "x.kbl").harness
    assert plain is not None
    assert changed is not None
    assert changed == plain


def test_unknown_elements_change_nothing() -> None:
    text = MINI.decode("utf-8").replace("<Connection id", "<Whatever><Deep a='1'>x</Deep></Whatever><Connection id")
    assert read_kbl(text.encode(), "x.kbl").harness == read_kbl(MINI, "x.kbl").harness


def test_the_fuse_that_is_only_text_in_an_older_version_is_still_one() -> None:
    text = MINI.decode("utf-8").replace(' xsi:type="kbl:Fuse"', "").replace("2.4 SR-1", "2.3")
    start, end = text.index("<Type id="), text.index("<Colour>YE")
    imported = read_kbl((text[:start] + text[end:]).encode(), "x.kbl")
    assert imported.harness is not None
    (fuse,) = imported.harness.fitted
    assert (fuse.kind, fuse.rating_a) == ("fuse", 20.0)
    assert dict(imported.repairs) == {"fitted-kind": 1, "fuse-rating-text": 1}


_TOKENS = sorted({token for token in MINI.decode("utf-8").replace("<", " <").split() if len(token) < 40})


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(st.integers(0, len(MINI) - 1), st.integers(0, 60), st.sampled_from(_TOKENS)), max_size=4))
def test_no_damage_raises(cuts: list[tuple[int, int, str]]) -> None:
    data = MINI
    for at, length, put in cuts:
        data = data[:at] + put.encode() + data[at + length :]
    imported = read_kbl(data, "x.kbl")
    assert (imported.harness is None) == any(one.level.value == "error" for one in imported.problems)


_IDS = sorted({word.partition('"')[0] for word in MINI.decode("utf-8").split('id="')[1:]})


@settings(max_examples=150, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(_IDS), st.sampled_from([*_IDS, "gone", ""])), max_size=6))
def test_no_reference_to_the_wrong_thing_raises(changes: list[tuple[str, str]]) -> None:
    text = MINI.decode("utf-8")
    for old, new in changes:
        text = text.replace(f">{old}<", f">{new}<").replace(f" {old} ", f" {new} ")
    imported = read_kbl(text.encode(), "x.kbl")
    assert imported.harness is not None
    assert len(imported.harness.wires) == 4
    assert all(1 <= span.line <= text.count("\n") + 1 for one in imported.problems for span in one.spans)
    holders = {holder.id: set(holder.cavities) for holder in imported.harness.holders}
    for wire in imported.harness.wires:
        assert all(end.spot.cavity in holders[end.spot.holder] for end in wire.ends if end.spot is not None)
    for contact in imported.harness.contacts:
        assert set(contact.cavities) <= holders[contact.holder]


def test_a_routing_of_a_connection_that_is_not_there_is_shown_where_it_stands() -> None:
    text = MINI.decode("utf-8").replace("<Routed_wire>cn2<", "<Routed_wire>cn99<")
    (line,) = [number for number, one in enumerate(text.splitlines(), 1) if "cn99" in one]
    found = [one for one in read_kbl(text.encode(), "x.kbl").problems if one.fact("ref") == "cn99"]
    assert [span.line for one in found for span in one.spans] == [line]
