"""No module is condemned before supply, ground and command at its pins, its input inside and its output were seen."""

from dataclasses import replace

import pytest

from loombench.app.case import Case, bench_for
from loombench.app.finding import answer, cannot, next_step, open_case, verdict
from loombench.app.practice import PRACTICE_TIME, PracticeVehicle
from loombench.app.stepwords import bare_card
from loombench.base.wording import catalogue
from loombench.circuit.fault import read_fault
from loombench.diagnose.bench import Bench
from loombench.diagnose.choose import Choice
from loombench.diagnose.condemn import unseen
from loombench.diagnose.looking import See
from loombench.diagnose.observation import InputSeen, LoadSeen, MeterRead, Observation
from loombench.diagnose.situation import Situation
from loombench.diagnose.stepname import read_step
from loombench.diagnose.verdict import ONE_CLASS, PROVEN, SEARCHING, Verdict
from loombench.evidence.complaint import Complaint
from loombench.record.memory import MemoryStore
from loombench.vehicle.condition import Condition, Operation, Setup
from loombench.vehicle.points import PIN, Point
from tests.diagnose.test_trying import MODULE
from tests.diagnose.vehicles import vehicle

ONE_OUTPUT = vehicle(MODULE)
TWO_OUTPUTS = vehicle(
    MODULE.replace("  when 3: 4", "  out 5 high-side from 1 max 5A\n  when 3: 4 5").replace(
        "lamp   E7", "lamp   E8 12V 21W at head\nlamp   E7"
    )
    + "A2.5 (GN 1mm2 1m) E8 (BN 1mm2 1m) W3/b\n"
)
ON = Condition((Operation("set", "S4", "on"),))
REST = Condition()
DEAD = Complaint("E7", "dead", ON, "E7 dead when S4=on")
STAYS_ON = Complaint("E7", "always-on", REST, "E7 always on")
MOST_STEPS = 20
MINUS = Point("G1", "-", layer=PIN)
OFF_RULE = [("ground", "A2.2"), ("command", "A2.3"), ("input", "A2.3"), ("released", "A2.4")]
WHOLE_RULE = [("supply", "A2.1"), ("ground", "A2.2"), ("command", "A2.3"), ("input", "A2.3"), ("output", "A2.4")]


@pytest.fixture(name="bench", scope="module")
def _bench() -> Bench:
    return bench_for(ONE_OUTPUT)


def opened(bench: Bench, complaint: Complaint = DEAD) -> Case:
    return open_case(bench.vehicle, "0" * 64, complaint, MemoryStore(), "c", PRACTICE_TIME, bench=bench)


def ended(case: Case, hidden: str, declined: str = "nothing") -> Case:
    """The case played to its last word; steps with a word in their name are declined."""
    fault = read_fault(hidden)
    assert fault is not None
    practice = PracticeVehicle(case.bench.vehicle, fault)
    for _ in range(MOST_STEPS):
        card = next_step(case)
        if card is None or case.verdict.state in (PROVEN, ONE_CLASS):
            return case
        if declined in card.id:
            case = cannot(case, card.id, "not here", PRACTICE_TIME)
        else:
            case = answer(case, card.id, practice.reply(case.offered(card.id), ()), PRACTICE_TIME)
    raise AssertionError(hidden)


def read_at(case: Case, pin: str) -> bool:
    """Whether volts were read at a pin of the module with all plugged, or its input was told as on."""
    for one in case.belief.observations:
        if isinstance(one, InputSeen) and one.seen == "on":
            return True
        if isinstance(one, MeterRead) and one.setup.condition == ON:
            ends = (end for end in (one.setup.red, one.setup.black) if end is not None)
            if any((end.part, end.pin) == ("A2", pin) for end in ends):
                return True
    return False


def owed(bench: Bench, *seen: Observation) -> list[tuple[str, str]]:
    """What the module is owed after some observations, were it the only suspect."""
    case = opened(bench)
    belief = replace(case.belief, observations=seen, support=())
    return [(one.what, one.at) for one in unseen(belief, ("A2",), case.region, "E7", ON)]


@pytest.mark.parametrize("hidden", ["stuck A2.4 off", "stuck A2.3 off", "stuck A2 reset"])
def test_the_whole_rule_is_seen_before_the_last_word(bench: Bench, hidden: str) -> None:
    case = ended(opened(bench), hidden)
    assert "A2" in case.verdict.groups
    assert all(read_at(case, pin) for pin in "123")
    assert any(isinstance(one, InputSeen) for one in case.belief.observations)
    tried = [one for one in case.belief.observations if isinstance(one, MeterRead | LoadSeen)]
    states = [one.setup.condition if isinstance(one, MeterRead) else one.condition for one in tried]
    assert any(aid.verb in ("substitute", "actuate") for state in states for aid in state.aids)
    assert case.unseen == ()


def test_all_five_are_owed_where_nothing_was_seen(bench: Bench) -> None:
    assert owed(bench) == WHOLE_RULE


def test_a_reading_between_two_pins_is_one_of_both_and_ohms_or_an_open_plug_are_none(bench: Bench) -> None:
    supply, ground = Point("A2", "1"), Point("A2", "2")
    assert owed(bench, MeterRead(Setup(ON, supply, ground), 12.6)) == WHOLE_RULE[2:]
    assert owed(bench, MeterRead(Setup(ON, supply, ground, "ohmmeter"), 3.0)) == WHOLE_RULE
    apart = ON.then(Operation("unplug", "A2"))
    assert owed(bench, MeterRead(Setup(apart, supply, MINUS), 12.6)) == WHOLE_RULE
    assert owed(bench, MeterRead(Setup(Condition(), supply, MINUS), 12.6)) == WHOLE_RULE


def test_a_module_that_says_what_it_should_has_supply_ground_and_command(bench: Bench) -> None:
    setup = Setup(ON, Point("A2", "3", layer=PIN), None, "scan-tool")
    assert owed(bench, InputSeen(setup, "on")) == WHOLE_RULE[4:]
    assert owed(bench, InputSeen(setup, "off")) == [WHOLE_RULE[2], WHOLE_RULE[4]]
    assert owed(bench, InputSeen(setup, "no answer")) == [*WHOLE_RULE[:3], WHOLE_RULE[4]]


def test_a_load_beside_it_that_works_has_shown_what_it_shares() -> None:
    bench = bench_for(TWO_OUTPUTS)
    assert owed(bench) == WHOLE_RULE
    assert owed(bench, LoadSeen("E8", "works", ON, True)) == WHOLE_RULE[4:]
    assert owed(bench, LoadSeen("E8", "dead", ON, True)) == WHOLE_RULE


def test_nothing_is_owed_to_what_is_no_module(bench: Bench) -> None:
    case = opened(bench)
    assert unseen(case.belief, ("E7", "contact A2.4"), case.region, "E7", ON) == ()
    assert unseen(case.belief, ("E7", "contact A2.4"), case.region, "E7", REST) == ()


def owed_off(bench: Bench, *seen: Observation) -> list[tuple[str, str]]:
    """What the module is owed for a load that stays on."""
    case = opened(bench, STAYS_ON)
    belief = replace(case.belief, observations=seen, support=())
    return [(one.what, one.at) for one in unseen(belief, ("A2",), case.region, "E7", REST)]


def test_a_module_that_does_not_switch_off_is_owed_its_ground_its_command_and_its_output_without_the_wire(
    bench: Bench,
) -> None:
    assert owed_off(bench) == OFF_RULE
    inside = Setup(REST, Point("A2", "3", layer=PIN), None, "scan-tool")
    assert owed_off(bench, InputSeen(inside, "off")) == OFF_RULE[3:]
    assert owed_off(bench, InputSeen(inside, "on")) == [OFF_RULE[1], OFF_RULE[3]], "it may be told so from outside"
    assert owed_off(bench, MeterRead(Setup(REST, Point("A2", "3"), MINUS), 0.0)) == [OFF_RULE[0], *OFF_RULE[2:]]
    without = Condition((Operation("release", "A2.4"),))
    assert owed_off(bench, LoadSeen("E7", "dead", without, True)) == OFF_RULE[:3]
    assert owed_off(bench, MeterRead(Setup(without, Point("A2", "3"), MINUS), 0.0)) == OFF_RULE


@pytest.mark.parametrize("hidden", ["stuck A2.4 on", "stuck A2.3 on"])
def test_the_whole_rule_is_seen_of_a_module_that_does_not_switch_off(bench: Bench, hidden: str) -> None:
    case = ended(opened(bench, STAYS_ON), hidden)
    assert (case.verdict.state, case.verdict.groups) == (PROVEN, ("A2",))
    assert case.unseen == ()
    seen = case.belief.observations
    assert any(isinstance(one, InputSeen) and one.setup.condition == REST for one in seen)
    assert [one.seen for one in seen if isinstance(one, LoadSeen) and one.condition.aids] == ["dead"]


def test_a_short_behind_the_pin_is_not_put_down_to_the_module(bench: Bench) -> None:
    case = ended(opened(bench, STAYS_ON), "short A2.4 to supply")
    assert "A2" not in case.verdict.groups


def test_what_is_missing_of_a_module_that_stays_on_is_said(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("loombench.app.case.judge", lambda *_: Verdict(PROVEN, ("A2",)))
    case = replace(opened(bench, STAYS_ON), chooser=lambda *_: Choice(None, (), "nothing-left"))
    assert case.verdict.state == SEARCHING
    said = "what the module says of its input A2.3; the load with the wire off the output A2.4"
    assert said in verdict(case).text
    assert "der Verbraucher mit abgenommener Leitung am Ausgang A2.4" in verdict(case, catalogue("de")).text


def test_the_card_of_a_wire_to_be_taken_off_says_the_caution_first(bench: Bench) -> None:
    case = opened(bench, STAYS_ON)
    (step,) = (one.step for one in unseen(case.belief, ("A2",), case.region, "E7", REST) if one.what == "released")
    assert read_step(step.id) == step
    for language, caution, said in (("en", "Ignition off", EN), ("de", "Zündung aus", DE)):
        card = bare_card(bench, Situation(), step, 1.0, "condemn", catalogue(language))
        assert card.cautions[0].startswith(caution)
        assert card.action == said
    again = bare_card(bench, Situation(condition=Condition((Operation("release", "A2.4"),))), See("E7", REST), 1.0,
                      "confirm", catalogue())  # fmt: skip
    assert again.action.startswith("Put the wire of A2.4 back into its cavity.")


EN = "Fuse out, take the wire of A2.4 out of its plug, insulate it, plug and fuse back in. What does E7 do?"
DE = (
    "Sicherung heraus, die Leitung von A2.4 aus ihrem Stecker nehmen, isolieren, Stecker und Sicherung wieder stecken. "
    "Was macht E7?"
)


def test_what_safety_forbids_is_not_asked_for() -> None:
    bench = bench_for(vehicle(MODULE + "class interlock A2.4\n"))
    assert owed(bench) == WHOLE_RULE[:4]


def test_the_verdict_waits_and_says_what_is_missing(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("loombench.app.case.judge", lambda *_: Verdict(PROVEN, ("A2",)))
    case = replace(opened(bench), chooser=lambda *_: Choice(None, (), "nothing-left"))
    assert case.verdict.state == SEARCHING
    assert not case.verdict.proven
    text = verdict(case).text
    assert "still to be seen are the supply at A2.1, loaded; the ground at A2.2, loaded; the command at A2.3" in text
    card = next_step(case)
    assert card is not None
    assert "before a module is condemned" in card.why


def test_what_cannot_be_seen_does_not_hold_the_case_but_is_said(bench: Bench) -> None:
    case = ended(opened(bench), "stuck A2.4 off", "substitute")
    assert "A2" in case.verdict.groups
    assert "Not seen, so ask for it before anything is renewed" in verdict(case).text
    assert "the output A2.4 on another load" in verdict(case).text
