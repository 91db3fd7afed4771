"""One vehicle out of a 150 % harness: by option codes, by part numbers of modules and of configurations."""

import pytest

from loombench.exchange.conditions import codes_in
from loombench.exchange.harness import Harness
from loombench.exchange.kbl.read import read_kbl
from loombench.exchange.netcount import count
from loombench.exchange.report import Imported
from loombench.exchange.variants import chosen
from tests.exchange.kblframe import connection, connector, framed, wire


def module(id_: str, number: str, condition: str, refs: str) -> str:
    return (
        f'<Module id="{id_}"><Part_number>{number}</Part_number><Module_configuration id="{id_}c">'
        f"<Logistic_control_information>{condition}</Logistic_control_information>"
        f"<Controlled_components>{refs}</Controlled_components></Module_configuration></Module>\n"
    )


SHORT_AND_LONG = (
    # Wires 1 and 3 are variants of one another, each with a contact of its own in the same cavities.
    connector("x1", "X1", 2)
    + "\n"
    + connector("x2", "X2", 2).replace(
        "</Connector_occurrence>",
        '<Contact_points id="px21b"><Id>X2-1</Id><Contacted_cavity>x2c1</Contacted_cavity></Contact_points>'
        "</Connector_occurrence>",
    )
    + "\n"
    + connection("k3", "C3", "w3", "px11", "px21b")
    + "\n"
    + wire("w3", "3", length="900")
    + "\n"
    + module("m1", "M-1", "SHORT", "k1 px21")
    + module("m2", "M-2", "LONG+-SHORT", "k3 px21b")
    + module("m3", "M-3", "/NULL", "k2 w2 f1")
    + '<Harness_configuration id="hc"><Part_number>CFG-9</Part_number><Modules>m2 m3</Modules></Harness_configuration>'
)


@pytest.fixture(scope="module")
def whole() -> Harness:
    imported = read_kbl(framed(SHORT_AND_LONG).encode(), "x.kbl")
    assert imported.harness is not None
    assert imported.harness.variants
    assert imported.repairs == ()
    return imported.harness


def numbers(imported: Imported) -> str:
    assert imported.harness is not None
    assert not imported.harness.variants
    assert imported.harness.options == ()
    return " ".join(wire.number for wire in imported.harness.wires)


@pytest.mark.parametrize(
    ("codes", "left"),
    [
        ((), ""),
        (("SHORT",), "1"),
        (("LONG",), "3"),
        (("SHORT", "LONG"), "1"),
        (("M-1",), "1"),
        (("M_1",), "1"),
        (("M-3",), "2"),
        (("SHORT", "M-3"), "1 2"),
        (("SHORT", "M-2"), "1 3"),
        (("CFG-9",), "2 3"),
        ((" LONG ", "", "M-3"), "2 3"),
    ],
)
def test_the_codes_choose_the_wires(whole: Harness, codes: tuple[str, ...], left: str) -> None:
    assert " ".join(sorted(numbers(chosen(whole, codes)).split())) == left


def test_what_hangs_on_a_module_goes_with_it(whole: Harness) -> None:
    left = chosen(whole, ("SHORT",))
    assert left.harness is not None
    assert {one.id for one in left.harness.contacts} >= {"px11", "px21"}
    assert "px21b" not in {one.id for one in left.harness.contacts}
    assert left.harness.fitted == ()
    assert dict(left.rows) == {"wire": 2, "contact": 1, "holder": 0, "fitted": 1}
    assert count(left.harness).nets == 1
    assert left.repairs == ()


def test_the_options_to_choose_from_are_told(whole: Harness) -> None:
    assert [(one.code, one.conditions) for one in whole.options] == [
        ("M-1", ("SHORT",)),
        ("M-2", ("LONG+-SHORT",)),
        ("M-3", ("M_3",)),
        ("CFG-9", ("LONG+-SHORT", "M_3")),
        ("SHORT", ()),
        ("LONG", ()),
    ]


def test_an_unknown_code_is_said_with_the_nearest(whole: Harness) -> None:
    left = chosen(whole, ("SHRT", "SHORT"))
    assert numbers(left) == "1"
    assert [(one.code, one.fact("near")) for one in left.problems] == [("option-code-unknown", "SHORT")]


def read(given: str) -> Imported:
    return read_kbl(framed(given).encode(), "x.kbl")


def test_a_file_with_one_module_that_asks_for_nothing_has_no_variants() -> None:
    for condition in ("ALL", "/NULL", "", "always"):
        imported = read(module("m1", "M-1", condition, "k1 k2 w1 w2"))
        assert imported.harness is not None
        assert not imported.harness.variants
        assert imported.harness.options == ()
        assert imported.repairs == ()


def test_a_connection_of_several_modules_is_there_with_any_of_them() -> None:
    imported = read(module("m1", "M-1", "A", "k1") + module("m2", "M-2", "B", "k1") + module("m3", "M-3", "C", "k2"))
    assert imported.harness is not None
    assert imported.harness.wires[0].options == ("A", "B")
    assert [numbers(chosen(imported.harness, code)) for code in (["A"], ["B"], ["C"])] == ["1", "1", "2"]


def test_one_module_without_a_condition_among_those_of_a_wire_makes_it_common() -> None:
    imported = read(module("m1", "M-1", "A", "k1") + module("m2", "M-2", "ALL", "k1 k2"))
    assert imported.harness is not None
    assert imported.harness.wires[0].options == ()


def test_the_modules_of_the_wire_count_where_the_connection_is_in_none() -> None:
    imported = read(module("m1", "M-1", "A", "w1") + module("m2", "M-2", "B", "w2"))
    assert imported.harness is not None
    assert [one.options for one in imported.harness.wires] == [("A",), ("B",)]
    assert imported.repairs == ()


def test_a_connection_and_its_wire_must_both_be_in() -> None:
    imported = read(
        module("m1", "M-1", "A+X", "k1 w1 k2 w2") + module("m2", "M-2", "B", "k1") + module("m3", "M-3", "C", "w1 k2")
    )
    assert imported.harness is not None
    one, two = imported.harness.wires
    assert set(one.options) == {"A+X", "B+C"}
    assert two.options == ("A+X",)
    by_codes = {code: numbers(chosen(imported.harness, code.split())) for code in ("A X", "B", "C", "B C", "M-2 M-3")}
    assert by_codes == {"A X": "1 2", "B": "", "C": "", "B C": "1", "M-2 M-3": "1"}
    codes = {option.code for option in imported.harness.options}
    assert codes == {"M-1", "M-2", "M-3", "A", "X", "B", "C"}


def test_conditions_that_are_no_single_code_are_put_together_too() -> None:
    imported = read(
        module("m1", "M-1", "A+X", "k1") + module("m2", "M-2", "B/C", "w1") + module("m3", "M-3", "D", "k2 w2")
    )
    assert imported.harness is not None
    (condition,) = imported.harness.wires[0].options
    for codes, there in (("A X B", True), ("A X C", True), ("A B", False), ("M-1 M-2", True), ("M-1 C", True)):
        assert ("1" in numbers(chosen(imported.harness, codes.split()))) is there
    assert codes_in(condition) == ("A", "X", "B", "C")


def test_a_free_module_configuration_counts_as_a_module_does() -> None:
    free = (
        '<Module_configuration id="mc9"><Logistic_control_information>A/B</Logistic_control_information>'
        "<Configuration_type>option code</Configuration_type><Controlled_components>k1</Controlled_components>"
        "</Module_configuration>\n"
    )
    imported = read(free + module("m2", "M-2", "C", "k2"))
    assert imported.harness is not None
    assert [numbers(chosen(imported.harness, code)) for code in (["B"], ["C"])] == ["1", "2"]


def test_a_wire_in_no_module_is_counted_and_always_there() -> None:
    imported = read(module("m1", "M-1", "A", "k1") + module("m2", "M-2", "B", "x9"))
    assert imported.harness is not None
    assert numbers(chosen(imported.harness, ())) == "2"
    assert dict(imported.repairs) == {"module-none": 1}


def test_a_holder_that_a_chosen_wire_needs_is_kept_and_said() -> None:
    imported = read(module("m1", "M-1", "A", "x1 x2") + module("m2", "M-2", "B", "k1 k2"))
    assert imported.harness is not None
    left = chosen(imported.harness, ["B"])
    assert left.harness is not None
    assert {"X1", "X2"} <= {one.id for one in left.harness.holders}
    assert dict(left.repairs) == {"option-needed": 2}
    none = chosen(imported.harness, [])
    assert none.harness is not None
    assert [one.id for one in none.harness.holders] == ["B1"]


def test_a_condition_that_cannot_be_read_leaves_its_things_out_and_is_said() -> None:
    imported = read(module("m1", "M-1", "A +", "k1") + module("m2", "M-2", "B", "k2"))
    assert imported.harness is not None
    left = chosen(imported.harness, ["A", "B"])
    assert numbers(left) == "2"
    assert dict(left.repairs)["option-condition-unread"] == 1
    assert numbers(chosen(imported.harness, ["M-1"])) == "1"


def test_two_fuses_of_one_slot_are_variants_until_both_are_chosen() -> None:
    given = (
        '<Component_occurrence id="f2"><Id>F1b</Id><Mounting>b1F</Mounting><Part>fk</Part></Component_occurrence>\n'
        + module("m1", "M-1", "A", "f1 k1")
        + module("m2", "M-2", "B", "f2 k2")
    )
    imported = read(given)
    assert imported.harness is not None
    assert imported.repairs == ()
    assert dict(chosen(imported.harness, ["A"]).repairs) == {}
    assert dict(chosen(imported.harness, ["A", "B"]).repairs) == {"slot-shared": 1}


def test_choosing_from_a_harness_without_variants_changes_nothing() -> None:
    imported = read("")
    assert imported.harness is not None
    assert chosen(imported.harness, []).harness == imported.harness
