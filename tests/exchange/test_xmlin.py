"""XML of unknown origin: what is handed over, with which lines; what is refused, and where; never an exception."""

import codecs
import io
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from loombench.base.problems import Problem
from loombench.exchange.report import Notes
from loombench.exchange.xmlin import XML_LIMITS, Element, XmlLimits, read_xml


def read(
    data: bytes | io.BytesIO,
    containers: tuple[str, ...] = (),
    skipped: tuple[str, ...] = (),
    limits: XmlLimits = XML_LIMITS,
) -> tuple[bool, list[tuple[str, Element]], list[Problem]]:
    notes, taken = Notes(), list[tuple[str, Element]]()

    def take(parent: str, element: Element) -> bool:
        taken.append((parent, element))
        return True

    whole = read_xml(data, "x.kbl", notes, containers, take, skipped, limits)
    return whole, taken, notes.problems


def codes(problems: list[Problem]) -> list[str]:
    return [one.code for one in problems]


NESTED = b"""<?xml version="1.0"?>
<k:Root xmlns:k="urn:x" id="r">
  <Unit id="u"><Name>mm</Name></Unit>
  <Box id="b" x:type="k:Big"
       id2="c">
    <Inner><Deep>1</Deep></Inner>
    <Deep>2 &amp; <![CDATA[3]]></Deep>
  </Box>
  <Noise><Deep>4</Deep></Noise>
</k:Root>
"""


def test_children_of_containers_are_handed_over_whole_with_their_lines() -> None:
    whole, taken, problems = read(NESTED, ("Box",), ("Noise",))
    assert whole
    assert not problems
    assert [(parent, one.tag, one.line) for parent, one in taken] == [
        ("", "Root", 2), ("Root", "Unit", 3), ("Root", "Box", 4), ("Box", "Inner", 6), ("Box", "Deep", 7),
    ]  # fmt: skip
    root, unit, box, inner, deep = (one for _parent, one in taken)
    assert root.attributes == {"xmlns:k": "urn:x", "id": "r"}
    assert (unit.id, unit.say("Name"), unit.say("Other")) == ("u", "mm", "")
    assert (box.type, box.attributes["id2"], box.children) == ("Big", "c", [])
    assert inner.children[0].text == "1"
    assert deep.text == "2 & 3"


def test_what_is_no_container_comes_with_all_that_is_in_it() -> None:
    _whole, taken, _problems = read(NESTED)
    box = taken[2][1]
    assert [one.tag for one in box.children] == ["Inner", "Deep"]
    assert [one.text for one in box.all("Deep")] == ["2 & 3"]
    assert taken[3][1].tag == "Noise"


def test_text_beside_children_is_kept_where_asked_for() -> None:
    taken: list[Element] = []

    def take(parent: str, element: Element) -> bool:
        taken.extend([element] if parent else [])
        return True

    data = b"<r><p> a<s>b</s>c <s/>d<no>e</no>f</p></r>"
    assert read_xml(data, "x.xml", Notes(), (), take, ("no",), mixed=True)
    assert [(child.tag, child.text) for child in taken[0].children] == [
        ("", " a"), ("s", "b"), ("", "c "), ("s", ""), ("", "d"), ("", "f")]  # fmt: skip


def test_lists_of_ids_are_parted_at_any_space() -> None:
    _whole, taken, _problems = read(b"<a><b><Ref> x  y\n z</Ref><Ref>w</Ref></b></a>")
    assert taken[1][1].refs("Ref") == ("x", "y", "z", "w")


def test_a_stream_reads_as_bytes_do() -> None:
    assert [one for _parent, one in read(io.BytesIO(NESTED))[1]] == [one for _parent, one in read(NESTED)[1]]


def test_reading_stops_where_the_taker_says_so() -> None:
    notes, seen = Notes(), list[str]()

    def take(_parent: str, element: Element) -> bool:
        seen.append(element.tag)
        return element.tag != "Unit"

    assert not read_xml(NESTED, "x.kbl", notes, (), take)
    assert seen == ["Root", "Unit"]
    assert not notes.problems


@pytest.mark.parametrize(
    ("data", "code", "line"),
    [
        (b"", "xml-broken", 1),
        (b"no xml", "xml-broken", 1),
        (b"<a>\n<b>\n</a>", "xml-broken", 3),
        (b"<a>\n<b>cut", "xml-broken", 2),
        (b"<a>&unknown;</a>", "xml-broken", 1),
        (b"<a/><b/>", "xml-broken", 1),
        (b'<a x="1" x="2"/>', "xml-broken", 1),
        (b"<a>\0</a>", "xml-broken", 1),
        (b"<!DOCTYPE a SYSTEM 'file:other.dtd'>\n<a/>", "xml-doctype", 1),
        (b'<!DOCTYPE a [<!ENTITY b "bb"><!ENTITY c "&b;&b;">]><a>&c;</a>', "xml-doctype", 1),
        (b'<!DOCTYPE a [<!ENTITY % b SYSTEM "other"> %b;]><a/>', "xml-doctype", 1),
        (b'<?xml version="1.0" encoding="zlib"?><a/>', "xml-encoding-unknown", 1),
        (b"<a>" * 100_000, "xml-limit", 1),
        (b"<a>" + b"<b>" * 100 + b"</b>" * 100 + b"</a>", "xml-limit", 1),
    ],
)  # fmt: skip
def test_what_is_no_sound_xml_is_refused_with_its_line(data: bytes, code: str, line: int) -> None:
    whole, _taken, problems = read(data)
    assert not whole
    assert [(one.code, one.spans[0].line) for one in problems] == [(code, line)]
    assert problems[0].spans[0].file == "x.kbl"


@pytest.mark.parametrize(
    ("limit", "data"),
    [
        ("largest_file", b"<a>" + b" " * 500_000 + b"</a>"),
        ("deepest", b"<a><b><c><d><e><f/></e></d></c></b></a>"),
        ("deepest", b"<a><skip><c><d><e><f/></e></d></c></skip></a>"),
        ("most_attributes", b"<a p='1' q='2' r='3' s='4' t='5' u='6'/>"),
        ("longest_tag", b"<a " + b" ".join(b"x%d='1'" % n for n in range(40_000)) + b"/>"),
        ("longest_tag", b"<a><!--" + b"x" * 200_000 + b"--></a>"),
        ("longest_text", b"<a><b>123456</b></a>"),
        ("most_inside", b"<a><b><c/><c/><c/><c/><c/><c/></b></a>"),
        ("most_text", b"<a><b><c>123</c><c>456</c></b></a>"),
    ],
)
def test_each_limit_is_kept(limit: str, data: bytes) -> None:
    small = 5 if len(data) < 1000 else 50_000
    assert read(data, skipped=("skip",))[0] or data.count(b"=") > XML_LIMITS.most_attributes
    whole, _taken, problems = read(data, skipped=("skip",), limits=replace(XML_LIMITS, **{limit: small}))
    assert not whole
    assert codes(problems) == ["xml-limit"]
    assert problems[0].fact("limit") == str(small)


def test_a_million_attributes_and_a_billion_laughs_are_refused_by_the_common_limits() -> None:
    many = b"<a " + b" ".join(b"x%d='1'" % n for n in range(1_000_000)) + b"/>"
    assert codes(read(many)[2]) == ["xml-limit"]
    laughs = b"<!DOCTYPE a [<!ENTITY l0 'ha'>" + b"".join(
        b"<!ENTITY l%d '%s'>" % (n, b"&l%d;" % (n - 1) * 10) for n in range(1, 10)
    )
    assert codes(read(laughs + b"]><a>&l9;</a>")[2]) == ["xml-doctype"]


@pytest.mark.parametrize(
    ("data", "noted"),
    [
        ("<a><b>ü</b></a>".encode(), []),
        (codecs.BOM_UTF8 + "<a><b>ü</b></a>".encode(), []),
        ("\n  <a><b>ü</b></a>".encode(), []),
        ("<a><b>ü</b></a>".encode("utf-16"), []),
        ("<a><b>ü</b></a>".encode("utf-16-be"), []),
        ('<?xml version="1.0" encoding="ISO-8859-1"?><a><b>ü</b></a>'.encode("latin-1"), []),
        ('<?xml version="1.0" encoding="windows-1252"?><a><b>ü</b></a>'.encode("cp1252"), []),
        ('<?xml version="1.0" encoding="UTF-16"?><a><b>ü</b></a>'.encode(), []),
        ("<a><b>ü</b></a>".encode("cp1252"), ["xml-encoding"]),
        ('<?xml version="1.0" encoding="UTF-8"?><a><b>ü</b></a>'.encode("latin-1"), ["xml-encoding"]),
    ],
)
def test_the_letters_are_read_in_the_files_own_encoding(data: bytes, noted: list[str]) -> None:
    whole, taken, problems = read(data)
    assert whole
    assert taken[1][1].text == "ü"
    assert codes(problems) == noted


def test_letters_that_lie_across_two_pieces_are_read_whole() -> None:
    for shift in range(4):
        text = "ü€𝄞" * 40_000
        whole, taken, problems = read(b"<a><b>" + b"x" * shift + text.encode() + b"</b></a>")
        assert whole
        assert not problems
        assert taken[1][1].text == "x" * shift + text


def test_the_place_of_a_stray_byte_is_said() -> None:
    _whole, taken, problems = read(b"<a>\n" + b"<b/>\n" * 30_000 + b"<b>\xfc</b></a>")
    assert problems[0].spans[0].line == 30_002
    assert taken[-1][1].text == "ü"


PIECES = (
    b"<a", b">", b"</a>", b"<b x='", b"'", b"/>", b"&#", b"9;", b"<!--", b"-->", b"\xff", b"\0", b"\xc3", b"<![CDATA[",
    b"]]>", b"<?xml version='1.0' encoding='", b"'?>", b"utf-16", b"<!DOCTYPE", b" a",
)  # fmt: skip


@given(st.lists(st.sampled_from(PIECES), max_size=30))
def test_no_bytes_raise(pieces: list[bytes]) -> None:
    whole, _taken, problems = read(b"".join(pieces))
    assert whole or any(one.level.value == "error" for one in problems)


@given(st.binary(max_size=300))
def test_no_random_bytes_raise(data: bytes) -> None:
    whole, _taken, problems = read(data)
    assert whole or problems
