"""The decision tree of a complaint: it leads every practice vehicle whose way is followed to its fault, and its figures
are those of all its ways added up one by one."""

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

from loombench.app.case import bench_for
from loombench.app.practice import PracticeVehicle
from loombench.app.procedure import DEEP, RARE, STOPPED, Cut, Fork, Procedure, Way, begin_procedure, grow
from loombench.app.procedureend import End, Job
from loombench.app.procedurepage import procedure_document, procedure_lines, summary, write_procedure
from loombench.app.proceduretree import letters_of, sheet_of
from loombench.app.suspectwords import suspect_text
from loombench.base.wording import catalogue
from loombench.circuit.catalogue import single_faults
from loombench.circuit.fault import Fault
from loombench.circuit.lower import lower
from loombench.circuit.observe import Observed, observe
from loombench.diagnose.looking import Mend
from loombench.diagnose.suspect import group_of
from loombench.paper.document import Caution, Heading, Paragraph, Table, Together
from loombench.paper.html import to_html
from tests.diagnose.vehicles import AIRBAG, LAMP, vehicle

CAR = vehicle(LAMP)
BENCH = bench_for(CAR)
COMPLAINT = "E7 dead when S4=on"
LEAST = 0.02


@pytest.fixture(scope="module")
def tree() -> Procedure:
    case = begin_procedure(CAR, COMPLAINT, BENCH).value
    assert case is not None
    return grow(case, LEAST)


def paths(tree: Procedure, number: int = 0, chance: float = 1.0) -> Iterator[tuple[float, tuple[Fork, ...], End | Cut]]:
    """Every way from the start to where it ends."""
    node = tree.nodes[number]
    if not isinstance(node, Fork):
        yield chance, (), node
        return
    for way in node.ways:
        for share, tests, last in paths(tree, way.to, chance * way.chance):
            yield share, (node, *tests), last


def walked(tree: Procedure, fault: Fault) -> tuple[End | Cut, tuple[str, ...]]:
    """Where a practice vehicle comes to by the tree, and what was put right on the way."""
    practice = PracticeVehicle(CAR, fault)
    node, repaired = tree.nodes[0], tuple[str, ...]()
    while isinstance(node, Fork):
        said = practice.reply(node.step, repaired)
        if isinstance(node.step, Mend):
            repaired = (*repaired, node.step.group)
        ways = [way for way in node.ways if way.word == said or (isinstance(said, float) and holds(way, said))]
        if not ways:
            return Cut(RARE), repaired
        node = tree.nodes[ways[0].to]
    return node, repaired


def holds(way: Way, value: float) -> bool:
    return (way.low is None or way.low <= value) and (way.high is None or value <= way.high)


def test_every_vehicle_with_that_complaint_comes_to_its_fault_or_to_a_rare_way(tree: Procedure) -> None:
    case = begin_procedure(CAR, COMPLAINT, BENCH).value
    assert case is not None
    state = case.complaint.condition
    every = single_faults(CAR)
    seen = observe(CAR, state, [(fault,) for fault in every], lower)
    dark = [fault for fault, one in zip(every, seen, strict=True) if light_of(one, "E7") == "dead"]
    ended = 0
    for fault in dark:
        group = group_of(CAR, fault)
        last, repaired = walked(tree, fault)
        if isinstance(last, End):
            ended += 1
            named = [job.suspect for job in last.jobs]
            assert group in repaired or suspect_text(case.bench, group, catalogue()) in named, str(fault)
        else:
            assert last.why == RARE, str(fault)
    assert len(dark) > 30
    assert ended > 8


def light_of(seen: Observed, load: str) -> str:
    return next((one.light for one in seen.loads if one.id == load), "dead")


def test_most_of_these_vehicles_come_to_an_end(tree: Procedure) -> None:
    share = sum(chance for chance, _, last in paths(tree) if isinstance(last, End))
    assert share > 0.5
    assert sum(chance for chance, _, _ in paths(tree)) == pytest.approx(1.0)


def test_the_ways_of_a_step_are_all_there_are(tree: Procedure) -> None:
    for node in tree.nodes:
        if isinstance(node, Fork):
            assert sum(way.chance for way in node.ways) == pytest.approx(1.0)
            edges = [(way.low, way.high) for way in node.ways if not way.word]
            assert all(one[1] == other[0] for one, other in pairwise(edges))


def test_what_is_cut_off_is_rare_and_nothing_else_is(tree: Procedure) -> None:
    for chance, _, last in paths(tree):
        if isinstance(last, Cut):
            assert (last.why == RARE) == (chance < LEAST)
            assert last.why in (RARE, DEEP)
        else:
            assert chance >= LEAST


def test_expected_minutes_are_those_of_all_ways_added_up(tree: Procedure) -> None:
    sheet = sheet_of(tree)
    ended = [(chance, tests, last) for chance, tests, last in paths(tree) if isinstance(last, End)]
    named = [(chance, sum(one.card.cost_s for one in tests), last) for chance, tests, last in ended if last.names]
    share = sum(chance for chance, _, _ in named)
    assert sheet.ended == pytest.approx(sum(chance for chance, _, _ in ended))
    assert sheet.left.named == pytest.approx(share)
    # The mean over ways takes the chance at each step; cut ways are left out at every step, not once at the end.
    least = min(spent + last.proof_s for _, spent, last in named)
    most = max(spent + last.mend_s for _, spent, last in named)
    assert least <= sheet.left.proof_s <= sheet.left.mend_s <= most
    whole = sum(chance * (spent + last.proof_s) for chance, spent, last in named) / share
    assert sheet.left.proof_s == pytest.approx(whole)


def test_depth_and_stop_leave_the_rest_and_say_so(tree: Procedure) -> None:
    case = begin_procedure(CAR, COMPLAINT, BENCH).value
    assert case is not None
    shallow = grow(case, LEAST, 2)
    assert max(len(tests) for _, tests, _ in paths(shallow)) == 2
    assert any(isinstance(node, Cut) and node.why == DEEP for node in shallow.nodes)
    told: list[int] = []
    halted = grow(case, LEAST, watch=lambda steps, _: told.append(steps), stopped=lambda: len(told) == 4)
    assert told == [1, 2, 3, 4] or told[-1] <= 4
    assert any(isinstance(node, Cut) and node.why == STOPPED for node in halted.nodes)
    words = catalogue()
    said = dict(summary(halted, sheet_of(halted), words))
    assert "stopped" in said["Not followed"]
    assert "stopped" not in dict(summary(tree, sheet_of(tree), words))["Not followed"]


def test_steps_are_numbered_and_every_way_leads_somewhere(tree: Procedure) -> None:
    sheet = sheet_of(tree)
    numbers = [step.number for step in sheet.steps]
    letters = {end.letters for end in sheet.ends}
    assert numbers == list(range(1, len(numbers) + 1))
    targets = {one.to for step in sheet.steps for one in step.exits}
    assert targets <= {*numbers, *letters, RARE, DEEP}
    assert {*numbers[1:], *letters} <= targets


def test_cautions_stand_before_the_step(tree: Procedure) -> None:
    kept = [one.blocks for one in procedure_document(tree).blocks if isinstance(one, Together)]
    cautioned = [blocks for blocks in kept if any(isinstance(one, Caution) for one in blocks)]
    assert cautioned
    for blocks in cautioned:
        kinds = [type(one) for one in blocks]
        assert kinds[0] is Heading
        told = next(one for one in blocks if isinstance(one, Paragraph))
        action = "Proven" not in told.text and "Not proven" not in told.text
        assert kinds.index(Caution) < (kinds.index(Paragraph) if action else len(kinds) - 1)
    for step in sheet_of(tree).steps:
        texts = [text for blocks in kept for one in blocks if isinstance(one, Caution) for text in one.texts]
        assert set(step.card.cautions) <= set(texts)


def test_the_page_and_the_lines_say_the_same(tree: Procedure, tmp_path: Path) -> None:
    page = to_html(procedure_document(tree))
    lines = "\n".join(procedure_lines(tree))
    sheet = sheet_of(tree)
    assert page.count('<section class="together">') == len(sheet.steps) + len(sheet.ends)
    for step in sheet.steps:
        assert step.card.action in lines
    assert "<script" not in page
    made = write_procedure(tree, tmp_path / "page.html")
    assert made.value is not None
    assert made.value.read_text(encoding="utf-8") == page
    tables = [one for block in procedure_document(tree).blocks if isinstance(block, Together) for one in block.blocks]
    assert sum(isinstance(one, Table) for one in tables) == len(sheet.steps)


def test_equal_sub_trees_are_printed_once(tree: Procedure) -> None:
    first = tree.nodes[0]
    assert isinstance(first, Fork)
    step, card = first.step, first.card
    job = Job("lamp E7", 1.0, "Renew it.", ())
    end = End("proven", "Proven.", (job,), 0, (), 0.0, 60.0)

    def fork(one: int, other: int, chance: float) -> Fork:
        return Fork(step, card, (Way("a", None, None, chance, (), one), Way("b", None, None, 1.0 - chance, (), other)))

    nodes = (fork(1, 2, 0.25), fork(3, 4, 0.5), fork(5, 6, 0.9), end, Cut(RARE), end, Cut(RARE))
    sheet = sheet_of(Procedure("V", "c", (), nodes, 0.01, 9))
    assert [step.number for step in sheet.steps] == [1, 2]
    assert [one.to for one in sheet.steps[0].exits] == [2, 2]
    assert [one.to for one in sheet.steps[1].exits] == ["A", RARE]
    assert sheet.shared == 1
    assert sheet.steps[1].reach == pytest.approx(1.0)
    assert sheet.steps[1].exits[0].chance == pytest.approx(0.25 * 0.5 + 0.75 * 0.9)
    assert sheet.ends[0].reach == pytest.approx(0.25 * 0.5 + 0.75 * 0.9)
    assert sheet.left.proof_s == pytest.approx(2 * card.cost_s)
    assert sheet.left.mend_s == pytest.approx(2 * card.cost_s + 60.0)


def test_letters_go_on_after_z() -> None:
    assert [letters_of(place) for place in (0, 25, 26, 27, 52)] == ["A", "Z", "AA", "AB", "BA"]


def test_no_procedure_where_nothing_may_be_planned_or_nothing_is_said() -> None:
    airbag = vehicle(AIRBAG)
    refused = begin_procedure(airbag, "R40 dead")
    assert refused.value is None
    assert refused.problems
    assert begin_procedure(CAR, "").value is None
