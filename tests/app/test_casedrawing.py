"""What a case is about, drawn: suspects and readings on the circuit, the leads of a step, the face, the place."""

from functools import cache

from loombench.app.case import Case, bench_for
from loombench.app.casedrawing import case_sheets, procedure_drawings, step_document
from loombench.app.drawing import layouts_here
from loombench.app.finding import answer, next_step, open_case
from loombench.app.practice import PracticeVehicle
from loombench.app.procedure import begin_procedure, grow
from loombench.app.procedurepage import procedure_document
from loombench.base.problems import error
from loombench.circuit.fault import Fault
from loombench.diagnose.measuring import Measure
from loombench.draw.engine.engines import Engine, EngineError
from loombench.draw.engine.remembered import Remembered
from loombench.draw.layout.arrange import Layouts
from loombench.evidence.complaint import Complaint
from loombench.paper.document import Svg
from loombench.paper.html import to_html
from loombench.record.memory import MemoryStore
from loombench.text.load import load_file
from loombench.vehicle.condition import Condition, Operation

TIME = "2026-03-02T09:15:00+01:00"
ON = Condition((Operation("set", "S4", "on"),))
PLUG = "contact X12.3@boom"


@cache
def layouts() -> Layouts:
    return layouts_here(None)


@cache
def measured() -> Case:
    """A case on its way: the step on show puts a lead to the plug."""
    car = load_file("examples/telehandler-roof").value
    complaint = Complaint("E7", "dead", ON, "left work lamp is dead")
    case = open_case(car, "0" * 64, complaint, MemoryStore(), "2026-7", TIME, bench=bench_for(car))
    practice = PracticeVehicle(car, Fault("open", PLUG))
    for _ in range(12):
        card = next_step(case)
        assert card is not None
        step = case.offered(card.id)
        if isinstance(step, Measure) and step.setup.red is not None and step.setup.red.part == "X12":
            return case
        case = answer(case, card.id, practice.reply(step, ()), TIME)
    raise AssertionError("no step leads to the plug")


def test_the_circuit_behind_a_card_has_suspects_and_readings() -> None:
    made = case_sheets(measured(), layouts())
    assert made.problems == ()
    svg = "".join(sheet.svg for sheet in made.value)
    assert 'data-part="E7"' in svg
    assert 'class="suspect"' in svg
    assert 'class="reading"' in svg
    assert 'class="volts"' not in svg
    assert 'class="working"' not in svg


def test_a_step_shows_its_leads_its_plug_and_its_place() -> None:
    case = measured()
    card = next_step(case)
    assert card is not None
    document = step_document(case, card, layouts()).value
    faces = [block for block in document.blocks if isinstance(block, Svg)]
    assert faces
    assert ["X12" in face.alt for face in faces] == [True] * len(faces)
    assert 'class="lead"' in document.sheets[0].svg
    assert 'class="working"' not in document.sheets[0].svg
    assert len(document.sheets) >= 2
    page = to_html(document)
    assert page.index(card.cautions[0][:20]) < page.index(card.action[:20])
    assert page.count("<figure") == len(document.sheets)


def test_the_drawings_come_behind_the_steps_of_a_procedure() -> None:
    begun = begin_procedure(measured().bench.vehicle, "E7 dead when S4=on", measured().bench).value
    assert begun is not None
    tree = grow(begun, 0.05, 7)
    drawn = procedure_drawings(begun, tree, layouts()).value
    names = [block.alt for block in drawn.blocks if isinstance(block, Svg)]
    assert names == list(dict.fromkeys(names)) != []
    document = procedure_document(tree, drawn=drawn)
    assert document.sheets == drawn.sheets
    assert document.blocks[-len(drawn.blocks) :] == drawn.blocks


def test_without_an_engine_the_rest_is_there() -> None:
    def none() -> Engine:
        raise EngineError("drawing-engine-missing")

    case = measured()
    card = next_step(case)
    assert card is not None
    made = step_document(case, card, Remembered(none))
    assert [problem.code for problem in made.problems] == [error("drawing-engine-missing").code]
    assert any(isinstance(block, Svg) for block in made.value.blocks)
