"""Two files of one vehicle: names that clash, and connectors that fit by name, cavity and signal."""

from dataclasses import replace

from loombench.exchange.harness import CONNECTOR, RING, SPLICE, Harness, Holder, Mating
from loombench.exchange.joining import merged
from loombench.exchange.mating import mated, propose_matings
from loombench.exchange.netcount import count
from tests.exchange.assembly.harnesses import wire


def front(half: str = "X12-1", signals: tuple[str, str] = ("58R", "31")) -> Harness:
    holders = (Holder(half, CONNECTOR, cavities=("1", "2", "3")), Holder("S1", SPLICE), Holder("X9", CONNECTOR))
    wires = (wire("1", "X9.1", f"{half}.1", signals[0]), wire("2", "S1.1", f"{half}.2", signals[1]))
    return Harness("front", "kbl", holders=holders, wires=wires)


def rear(half: str = "X12-2", signals: tuple[str, str] = ("58R", "31")) -> Harness:
    holders = (Holder(half, CONNECTOR, cavities=("1", "2")), Holder("S1", SPLICE), Holder("E5", CONNECTOR))
    wires = (wire("1", f"{half}.1", "E5.1", signals[0]), wire("2", f"{half}.2", "S1.1", signals[1]))
    return Harness("rear", "kbl", holders=holders, wires=wires)


def test_ids_that_clash_are_kept_apart_with_all_that_names_them() -> None:
    both = merged((front(), rear()))
    ids = [holder.id for holder in both.holders]
    assert ids == ["X12-1", "S1", "X9", "X12-2", "S1@rear", "E5"]
    assert both.holders[4].name == "S1"
    assert [one.id for one in both.wires] == ["w1", "w2", "w1@rear", "w2@rear"]
    assert [one.loom for one in both.wires] == ["front", "front", "rear", "rear"]
    assert both.wires[3].ends[1].spot is not None
    assert both.wires[3].ends[1].spot.holder == "S1@rear"
    assert (count(both).nets, count(both).splices) == (4, 2)


def test_one_file_stays_as_it_is() -> None:
    assert merged((front(),)) == front()


def test_two_files_of_one_name_are_two_looms() -> None:
    both = merged((front(), replace(rear(), name="front")))
    assert {one.loom for one in both.wires} == {"front", "front-2"}


def test_halves_with_a_one_and_a_two_are_proposed_with_what_speaks_for_it() -> None:
    (found,) = propose_matings(merged((front(), rear())))
    assert (found.mating.a, found.mating.b, found.mating.pairs) == ("X12-1", "X12-2", (("1", "1"), ("2", "2")))
    assert (found.same, found.other) == (2, 0)


def test_equal_names_and_letters_fit_too() -> None:
    for one, other in (("X12", "X12"), ("C4_M", "C4_F"), ("COUPL1A", "COUPL2A")):
        (found,) = propose_matings(merged((front(one), rear(other))))
        assert found.same == 2


def test_signals_that_differ_speak_against_a_name_that_fits() -> None:
    assert propose_matings(merged((front("X12"), rear("X22", ("15", "50"))))) == ()
    assert propose_matings(merged((front("X12"), rear("X12", ("15", "50"))))) == ()


def test_without_signals_only_equal_names_are_enough() -> None:
    assert len(propose_matings(merged((front("X12", ("", "")), rear("X12", ("", "")))))) == 1
    assert propose_matings(merged((front("X12", ("", "")), rear("X22", ("", ""))))) == ()


def test_halves_of_one_loom_are_no_coupling() -> None:
    holders = (Holder("X1", CONNECTOR), Holder("X2", CONNECTOR))
    wires = (wire("1", "X1.1", "A.1", "15", loom="m"), wire("2", "X2.1", "B.1", "15", loom="m"))
    assert propose_matings(Harness(holders=holders, wires=wires)) == ()


def test_each_connector_is_proposed_once_and_the_better_signals_win() -> None:
    third = replace(rear("X12", ("58R", "49")), name="third")
    found = [{one.mating.a, one.mating.b} for one in propose_matings(merged((front("X12"), third, rear("X12"))))]
    assert {"X12", "X12@rear"} in found
    assert {"X12", "X12@third"} not in found


def test_what_is_confirmed_joins_the_nets() -> None:
    both = merged((front(), rear()))
    joined = mated(both, "X12-1", "X12-2")
    assert joined is not None
    assert (count(both).nets, count(joined).nets) == (4, 2)
    assert joined.matings == (Mating("X12-1", "X12-2", (("1", "1"), ("2", "2")), "user"),)
    assert propose_matings(joined) == ()
    assert mated(both, "X12-1", "X77") is None
    assert mated(both, "X12-1", "X12-1") is None


def test_rings_are_no_couplings() -> None:
    one = Harness("a", holders=(Holder("G1", RING),), wires=(wire("1", "G1.1", "A.1", "31"),))
    assert propose_matings(merged((one, replace(one, name="b")))) == ()


def test_a_mating_with_a_connector_of_another_file_is_kept_once_and_one_with_none_not() -> None:
    said = (Mating("X12-1", "X12-2", (("1", "1"),)), Mating("X9", "X77", ()))
    both = merged((replace(front(), matings=said), replace(rear(), matings=said[:1])))
    assert both.matings == said[:1]


def test_what_a_file_names_as_partner_comes_first_whatever_the_names_and_signals() -> None:
    named = front("PLUG", ("15", "50"))
    named = replace(named, holders=(replace(named.holders[0], partner="socket"), *named.holders[1:]))
    (found,) = propose_matings(merged((named, rear("SOCKET"))))
    assert (found.mating.a, found.mating.b, found.said, found.same, found.other) == ("PLUG", "SOCKET", True, 0, 2)


def test_signals_that_every_plug_has_are_no_evidence_and_neither_are_numbers_of_devices() -> None:
    rails = ("30", "GND")
    assert propose_matings(merged((front("X12-1", rails), rear("X12-2", rails)))) == ()
    assert len(propose_matings(merged((front("X12", rails), rear("X12", rails))))) == 1
    for one, other in (("E31", "E32"), ("N1", "N2"), ("LAMP 1", "LAMP 2")):
        assert propose_matings(merged((front(one), rear(other)))) == ()
    lamps = replace(front("F5-1"), holders=(Holder("F5-1", CONNECTOR, description="tail lamp"),))
    assert propose_matings(merged((lamps, rear("F5-2")))) == ()
