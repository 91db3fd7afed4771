"""VEC files that are broken or meant to hurt: a clear problem with its place, nothing half read, never an exception."""

import bz2
import gzip
import io
import lzma
import re
import tarfile
import zipfile
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loombench.exchange.harness import Harness, Spot
from loombench.exchange.leaving import leave
from loombench.exchange.report import Notes
from loombench.exchange.vec.package import read_index
from loombench.exchange.vec.read import read_vec
from loombench.exchange.vec.write import write_vec
from tests.exchange.out.vehicles import small
from tests.exchange.vec.files import (
    SAMPLES,
    codes,
    composition,
    connector,
    contacting,
    element,
    ends,
    file,
    harness,
    housing,
    point,
    read,
    role,
    specification,
    terminal,
    wire,
)

MINI = (SAMPLES / "mini.vec").read_bytes()
TWO = (terminal("S1", "SpliceTerminalRole"), terminal("G5", "RingTerminalRole"))
AT_TWO = (point("S1", "3a", "tS1"), point("G5", "3b", "tG5"))


def _dated(name: str) -> zipfile.ZipInfo:
    # By its name alone a file gets the time of the clock, and the tests other names by it in each process.
    made = zipfile.ZipInfo(name, (2026, 1, 1, 0, 0, 0))
    made.compress_type = zipfile.ZIP_DEFLATED
    return made


def zipped(**files: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(_dated(name.replace("_", ".")), data)
    return out.getvalue()


def tarred(kind: int = tarfile.USTAR_FORMAT, **files: bytes) -> bytes:
    out = io.BytesIO()
    with tarfile.open(fileobj=out, mode="w", format=kind) as archive:
        for name, data in files.items():
            info = tarfile.TarInfo(name.replace("_", "."))
            info.size = len(data)
            archive.addfile(info, io.BytesIO(data))
    return out.getvalue()


@pytest.mark.parametrize(
    "package",
    [
        zipped(readme_txt=b"x", index_vec=MINI),
        tarred(readme_txt=b"x", index_vec=MINI),
        tarred(tarfile.GNU_FORMAT, index_vec=MINI),
        tarred(tarfile.PAX_FORMAT, index_vec=MINI),
        gzip.compress(tarred(index_vec=MINI), mtime=0),
        bz2.compress(tarred(index_vec=MINI)),
        lzma.compress(tarred(index_vec=MINI)),
        zipped(harness_vec=MINI),
    ],
)
def test_a_package_is_its_index(package: bytes) -> None:
    found = read_vec(package, "p")
    assert found.harness is not None
    assert ends(found.harness) == {"3": "S1.1 E12-A.1", "4": "E12-A.2 G5.1"}
    assert found.repairs == ()
    assert read_vec(io.BytesIO(package), "p").harness == found.harness
    span = found.harness.wires[0].span
    assert span is not None
    assert span.file in ("p[index.vec]", "p[harness.vec]")


def test_other_vec_files_of_a_package_are_named() -> None:
    found = read_vec(zipped(parts_vec=b"<x/>", index_vec=MINI), "p")
    assert found.harness is not None
    assert found.repairs == (("vec-package-others", 1),)
    assert found.problems[0].fact("names") == "parts.vec"


@pytest.mark.parametrize(
    "package",
    [
        zipped(a_vec=MINI, b_vec=MINI),
        zipped(readme_txt=b"x"),
        zipped(index_vec=MINI)[:-30],
        zipped(index_vec=MINI)[:40],
        tarred(index_vec=MINI)[:900],
        gzip.compress(tarred(index_vec=MINI), mtime=0)[:-200],
        gzip.compress(b"no tar", mtime=0),
        b"\x1f\x8b\x08",
        b"BZh9",
        b"\xfd7zXZ\x00",
        b"PK\x03\x04",
    ],
)
def test_a_broken_package_is_refused(package: bytes) -> None:
    found = read_vec(package, "p")
    assert found.harness is None
    assert [one.code for one in found.problems] == ["vec-package"]


@pytest.mark.parametrize(
    "bomb",
    [
        zipped(index_vec=b" " * 2_000_000),
        gzip.compress(tarred(other_bin=b"\0" * 5_000_000, index_vec=MINI), mtime=0),
        gzip.compress(tarred(index_vec=b" " * 2_000_000), mtime=0),
        tarred(**{f"x{number}_txt": b"" for number in range(10_001)}, index_vec=MINI),
    ],
)
def test_a_bomb_is_refused_before_it_is_unpacked(bomb: bytes) -> None:
    notes = Notes()
    read_index(bomb, "p", notes, lambda stream, _: [None for _ in iter(lambda: stream.read(99_999), b"")], 1_000_000)
    assert [one.code for one in notes.problems] == ["vec-package"]
    assert notes.problems[0].fact("reason") == "vec.large"


@pytest.mark.parametrize("cut", range(0, len(MINI), 997))
def test_a_file_that_breaks_off_gives_nothing(cut: int) -> None:
    found = read_vec(MINI[:cut], "x.vec")
    assert found.harness is None
    assert found.problems
    assert all(one.spans for one in found.problems)


def test_references_in_circles_come_to_an_end() -> None:
    said = "<LogisticControlString>A</LogisticControlString><BaseInclusion>va</BaseInclusion>"
    loop = f'<VariantConfiguration id="va">{said}'
    text = file(
        specification("VariantConfigurationSpecification", "vs", f"{loop}</VariantConfiguration>"),
        specification("PartStructureSpecification", "M1", "<InBillOfMaterial>mod</InBillOfMaterial>"),
        composition(
            wire("3", outside="<ConfigInfo>va</ConfigInfo><InstanciatedOccurrence>W9</InstanciatedOccurrence>"), *TWO,
            '<Component id="mod"><Identification>mod</Identification>'
            + role("PartWithSubComponentsRole", "rm", "<PartStructureSpecification>M1</PartStructureSpecification>")
            + "</Component>",
        ),
        contacting(*AT_TWO),
    )  # fmt: skip
    assert ends(harness(text)) == {"3": "S1.1 G5.1"}


@pytest.mark.parametrize("wrong", ["W3", "d", "r3", "mm", "p", "S1", "k", "h", "hc1", "X1.1", "tS1", "3a", "e3"])
@pytest.mark.parametrize(
    "field",
    ["MountedTerminal", "EquippedCavityRef", "ReferencedWireEnd", "ReferencedWireElement", "ReferencedCavity", "Part",
     "ConnectorHousingSpecification", "UnitComponent", "ConfigInfo", "Signal"],
)  # fmt: skip
def test_a_reference_to_any_other_kind_is_said_and_harms_nothing(field: str, wrong: str) -> None:
    """One field of a sound file is pointed at each of the other kinds of things in turn."""
    sound = file(
        housing(),
        composition(
            connector("X1"), terminal("T1"), *TWO,
            wire("3", "<ReferencedWireElement>none</ReferencedWireElement><Signal>none</Signal>"
                 "<ConfigInfo>none</ConfigInfo>", '<WireLength id="l"><LengthType>DMU</LengthType><LengthValue id="lv">'
                 "<UnitComponent>mm</UnitComponent><ValueComponent>5</ValueComponent></LengthValue></WireLength>",
                 outside="<Part>none</Part>"),
        ),
        contacting(point("X1-1", "3a", "tT1", "X1.1"), AT_TWO[1]),
    )  # fmt: skip
    start = sound.index(f"<{field}>") + len(field) + 2
    text = sound[:start] + wrong + sound[sound.index("</", start) :]
    found = read(text)
    assert found.harness is not None
    assert [one.number for one in found.harness.wires] == ["3"]
    fits = {("MountedTerminal", "tS1"), ("EquippedCavityRef", "X1.1"), ("ReferencedWireEnd", "3a"),
            ("ReferencedCavity", "hc1"), ("ConnectorHousingSpecification", "h"), ("UnitComponent", "mm")}  # fmt: skip
    said = [one for one in found.problems if one.code.startswith("vec-reference")]
    named = [one for one in said if one.fact("field").endswith(f"/{field}") and one.fact("id") == wrong]
    assert bool(named) == ((field, wrong) not in fits)


def test_texts_that_would_upset_a_terminal_are_cleaned_and_cut() -> None:
    text = file(composition(wire("3", outside=f"<Description><Value>{'x' * 9000}</Value></Description>"),
                            *TWO), contacting(*AT_TWO))  # fmt: skip
    text = text.replace("<Identification>S1<", "<Identification>S&#x85;1\u202e<", 1)
    found = harness(text)
    assert {one.id for one in found.holders} == {"S 1", "G5"}
    assert len(found.wires[0].remark) <= 500
    assert "text-cut" in codes(text)


def test_a_hundred_thousand_of_one_child_take_no_longer_than_they_should() -> None:
    many = "<InBillOfMaterial>W3</InBillOfMaterial>" * 100_000
    found = harness(
        file(specification("PartStructureSpecification", "M1", many), composition(wire("3"), wire("4"), *TWO),
             contacting(*AT_TWO))
    )  # fmt: skip
    assert found.wires[0].options == ("M1",)


def test_a_wire_with_two_hundred_ends_is_one_wire() -> None:
    tips = "".join(f'<WireEnd id="z{n}"><PositionOnWire>{n / 199}</PositionOnWire></WireEnd>' for n in range(200))
    uses = element("3", tips, ends=0)
    part = '<Component id="W3"><Identification>W3</Identification>' + role("WireRole", "r3", uses) + "</Component>"
    found = harness(
        file(composition(part, *TWO), contacting(point("S1", " ".join(f"z{n}" for n in range(200)), "tS1")))
    )
    assert len(found.wires) == 1
    assert len(found.wires[0].ends) == 200


PIECES = st.sampled_from([
    "<Identification>", "</Identification>", "<ContactPoint id='p'>", "</ContactPoint>", "id=\"oW3\"", "rT1", "sHc1",
    "<MountedTerminal>", "</MountedTerminal>", "cp1", "rW3a", "0", "-1", "1e999", "", " ", "&amp;", "<x/>", "é", "rE12",
    "</Role>", "xsi:type=\"vec:EEComponentRole\"", "uMm2", "Unconnected", "WireEnd",
])  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_whatever_is_altered_in_a_file_nothing_is_raised(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(["mini.vec", "mini_fuse.vec", "VEC-Change-Example-I.xml"]))
    text = (SAMPLES / name).read_text(encoding="utf-8")
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text)))
        end = min(len(text), start + data.draw(st.integers(0, 40)))
        text = text[:start] + data.draw(PIECES) + text[end:]
    found = read_vec(text.encode("utf-8"), name)
    assert found.harness is not None or found.problems


IDS = st.sampled_from(["oE12", "rE12", "rE12c1", "rE12s", "sH", "sHs", "sHc2", "rT1", "rS1", "rG5", "rW3", "rW3e",
                       "rW4a", "we1", "sE1", "sK1", "sI1", "sW1", "pH", "uMm", "cp1", "comp", "ctg", "dH"])  # fmt: skip


def loose(found: Harness) -> list[str]:
    """What in a harness leads nowhere within it: there must be nothing, whatever the file says."""
    cavities = {one.id: set(one.cavities) for one in found.holders}

    def out(spot: Spot | None) -> bool:
        return spot is not None and spot.cavity not in cavities.get(spot.holder, ())

    names = ([one.id for one in found.holders], [one.id for one in found.wires], [one.id for one in found.contacts])
    return [
        *(f"wire {one.id}" for one in found.wires if any(out(end.spot) for end in one.ends)),
        *(f"contact {one.id}" for one in found.contacts for name in one.cavities if out(Spot(one.holder, name))),
        *(f"fitted {one.id}" for one in found.fitted for spot in one.spots if out(spot)),
        *(f"bar {one.id}" for one in found.holders for bar in one.joined if not set(bar) <= cavities[one.id]),
        *(
            f"slot {one.id}"
            for one in found.holders
            for slot in one.slots
            if not set(slot.cavities) <= cavities[one.id]
        ),
        *(
            f"mating {one.a}"
            for one in found.matings
            for a, b in one.pairs
            if out(Spot(one.a, a)) or out(Spot(one.b, b))
        ),
        *(f"twice {name}" for group in names for name, times in Counter(group).items() if times > 1),
    ]


VEHICLE = write_vec(leave(small()))
VEHICLE_IDS = st.sampled_from(sorted(re.findall(r'id="([^"]+)"', VEHICLE)))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 10_000), VEHICLE_IDS), min_size=1, max_size=12))
def test_whatever_refers_to_whatever_in_a_whole_vehicle_hangs_together(swaps: list[tuple[int, str]]) -> None:
    """Texts of a vehicle's file, references or not, are replaced by ids of other things in it."""
    text = VEHICLE
    for number, id in swaps:
        texts = list(re.finditer(r">([^<>]+)</", text))
        found = texts[number % len(texts)]
        text = text[: found.start(1)] + id + text[found.end(1) :]
    imported = read_vec(text.encode("utf-8"), "x.vec")
    assert imported.harness is not None or imported.problems
    assert imported.harness is None or loose(imported.harness) == []


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(IDS, IDS), min_size=1, max_size=4))
def test_whatever_refers_to_whatever_nothing_is_raised(swaps: list[tuple[str, str]]) -> None:
    """Well-formed files in which references lead to other objects that are there."""
    text = MINI.decode("utf-8")
    for one, two in swaps:
        text = text.replace(f">{one}<", f">{two}<")
    found = read_vec(text.encode("utf-8"), "x.vec")
    assert found.harness is not None
    assert loose(found.harness) == []
