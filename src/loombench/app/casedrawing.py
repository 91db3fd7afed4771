"""What a case is about, drawn: the circuit of its complaint with what is in the running and what was read, and the next
step with its leads, the faces it is measured at and the place.

    case_sheets(case, layouts).value             the pages behind a job card
    step_document(case, card, layouts).value     a page for the step on show
    procedure_drawings(case, tree, layouts)      what goes behind a procedure
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType

from loombench.app.bandwords import edge_text
from loombench.app.cards import StepCard
from loombench.app.case import Case
from loombench.app.drawing import Drawings, DrawnPage
from loombench.app.drawnstate import overlay_of
from loombench.app.facesheet import FACE_WIDTH_MM, face_asked
from loombench.app.findingcard import reading_of
from loombench.app.procedure import Fork, Procedure
from loombench.app.procedurepage import PrintedWith
from loombench.app.sheets import places_pages
from loombench.app.stepwords import condition_of
from loombench.app.suspectwords import suspect_text
from loombench.base.outcome import Outcome
from loombench.base.wording import Catalogue, catalogue
from loombench.diagnose.hypothesis import SOUND, UNEXPLAINED
from loombench.diagnose.measuring import Measure
from loombench.diagnose.observation import MeterRead
from loombench.diagnose.step import Step
from loombench.diagnose.suspect import part_of
from loombench.diagnose.touching import FeelGrip, ReadInput
from loombench.draw.circuit.functions import Function
from loombench.draw.face import face_svg
from loombench.draw.layout.arrange import Layouts
from loombench.draw.overlay import BETWEEN, NO_CURRENTS, NO_TEXTS, NO_WORK, Overlay, Reading
from loombench.draw.placing import said
from loombench.paper.document import Block, Caution, Document, Facts, Heading, Paragraph, Sheet, Svg
from loombench.vehicle.condition import Condition
from loombench.vehicle.graph import battery_minus
from loombench.vehicle.model import Vehicle
from loombench.vehicle.points import Point

PAPER = "A4"
"""Cards are printed on the paper that every workshop has."""


def case_sheets(case: Case, layouts: Layouts, words: Catalogue | None = None) -> Outcome[tuple[Sheet, ...]]:
    """The circuit of the complaint, as it stands when it is complained about, with the suspects left marked and the
    readings before the last repair at their points; nothing where the complaint is about nothing that is drawn."""
    words = words or catalogue()
    laid = _bare(case.bench.vehicle, case.complaint.condition)
    laid = replace(laid, suspects=_suspects(case, words), readings=_readings(case, words))
    return circuit_sheets(case.bench.vehicle, _shows(case.bench.vehicle, case.load), layouts, laid, words)


def step_document(case: Case, card: StepCard, layouts: Layouts, words: Catalogue | None = None) -> Outcome[Document]:
    """The step on show: its cautions and words, the face of each connector a lead goes to with the cavity ringed, then
    the circuit with leads and suspects, and the plan with the place ringed."""
    words = words or catalogue()
    vehicle, step = case.bench.vehicle, case.offered(card.id)
    touched = points_of(step)
    names = [_drawn(point) for point in touched]
    leads = names if isinstance(step, Measure) else []
    laid = replace(
        _bare(vehicle, condition_of(step, case.course.situation)),
        red=leads[0] if leads else "",
        black=leads[1] if len(leads) > 1 else "",
        suspects=_suspects(case, words),
    )
    circuit = circuit_sheets(vehicle, _shows(vehicle, case.load, touched), layouts, laid, words)
    facts = [("place", f"{card.place}: {card.reach}" if card.reach else card.place), ("set", ", ".join(card.settings))]
    facts += [("red", card.red), ("black", card.black)]
    facts += [] if card.nominal is None else [("sound", edge_text(card.nominal, card.unit))]
    blocks: list[Block] = [Caution(words.say("card.caution"), card.cautions)] if card.cautions else []
    blocks.append(Paragraph(card.action, "strong"))
    blocks.append(Facts(tuple((words.say(f"procedure.{name}"), text) for name, text in facts if text)))
    blocks += face_blocks(vehicle, touched, words)
    sheets = (*circuit.value, *place_sheets(vehicle, (card.place,), words))
    title = words.say("drawing.step", case=case.id)
    document = Document(title, vehicle.name, tuple(blocks), title, words.language, sheets=sheets)
    return Outcome(document, circuit.problems)


def procedure_drawings(
    case: Case, tree: Procedure, layouts: Layouts, words: Catalogue | None = None
) -> Outcome[PrintedWith]:
    """What goes behind a procedure: the circuit with all that is in the running before the first step, the plan with
    every place a step is done at, and each connector that is measured at, once for each cavity."""
    words = words or catalogue()
    vehicle = case.bench.vehicle
    forks = [node for node in tree.nodes if isinstance(node, Fork)]
    points = dict.fromkeys(point for fork in forks for point in points_of(fork.step))
    laid = replace(_bare(vehicle, case.complaint.condition), suspects=_suspects(case, words))
    circuit = circuit_sheets(vehicle, _shows(vehicle, case.load), layouts, laid, words)
    sheets = (*circuit.value, *place_sheets(vehicle, (fork.card.place for fork in forks), words))
    return Outcome(PrintedWith(face_blocks(vehicle, points, words), sheets), circuit.problems)


def points_of(step: Step) -> tuple[Point, ...]:
    """The points a step is done at, that of the red lead first."""
    match step:
        case Measure(setup=setup):
            return tuple(point for point in (setup.red, setup.black) if point is not None)
        case FeelGrip(point=point):
            return (point,)
        case ReadInput(setup=setup):
            return (setup.red,) if setup.red is not None else ()
    return ()


def circuit_sheets(
    vehicle: Vehicle, functions: Iterable[Function], layouts: Layouts, laid: Overlay, words: Catalogue
) -> Outcome[tuple[Sheet, ...]]:
    """The circuit pages of functions as they go behind a document."""
    drawings = Drawings(vehicle)
    made = [drawings.pages(one, layouts, laid, PAPER, words) for one in functions]
    problems = tuple(dict.fromkeys(problem for one in made for problem in one.problems))
    return Outcome(tuple(sheet_of(page) for one in made for page in one.value), problems)


def face_blocks(vehicle: Vehicle, points: Iterable[Point], words: Catalogue) -> tuple[Block, ...]:
    """The faces of the connectors that points lie in, each with the cavity ringed; none for posts, studs and the like,
    at which nobody looks for a cavity."""
    blocks: list[Block] = []
    for point in points:
        part = vehicle.parts.get(point.part)
        plugged = part is not None and (part.kind == "connector" or any(part.plugs))
        asked = face_asked(vehicle, _drawn(point)).value if plugged else None
        if asked is not None:
            alt = words.say("drawing.face", point=point)
            blocks += [Heading(alt), Svg(face_svg(vehicle, asked, words.language), FACE_WIDTH_MM, alt)]
    return tuple(blocks)


def place_sheets(vehicle: Vehicle, places: Iterable[str], words: Catalogue) -> tuple[Sheet, ...]:
    """The plan with some places ringed; none where the file does not tell where any of them lies."""
    known = frozenset(name for name in places if name in vehicle.places and said(vehicle.places[name]))
    return tuple(sheet_of(page) for page in places_pages(vehicle, known, words)[:1]) if known else ()


def _shows(vehicle: Vehicle, load: str, touched: Iterable[Point] = ()) -> tuple[Function, ...]:
    """The function of a load; where a point that is touched is not in it, one that it is in."""
    drawings = Drawings(vehicle)
    own = drawings.find(load).value[:1]
    away = [point.part for point in touched if not any(point.part in one.parts for one in own)]
    return (*own, *(one for one in drawings.functions if away and away[0] in one.parts))[: 1 + bool(away)]


def sheet_of(page: DrawnPage) -> Sheet:
    """A drawn page as a page of a document."""
    return Sheet(page.svg, page.width_mm, page.height_mm, page.title)


def _bare(vehicle: Vehicle, condition: Condition) -> Overlay:
    """Controls and relays in their positions; volts of the sound vehicle, and lamps that are lit in it, would be taken
    for those of this one."""
    whole = overlay_of(vehicle, condition).value
    return replace(whole, volts=NO_TEXTS, amps=NO_CURRENTS, live=frozenset(), works=NO_WORK)


def _suspects(case: Case, words: Catalogue) -> Mapping[str, str]:
    """The wires and parts that what is in the running lies in, each with its first suspect in words."""
    groups = {name for name in case.verdict.groups if name not in (SOUND, UNEXPLAINED)}
    found: dict[str, str] = {}
    for member in case.belief.hypotheses.members:
        if member.group in groups:
            for fault in member.faults:
                part = part_of(case.bench.vehicle, fault)
                name = part.id if part is not None else fault.target
                found.setdefault(name, suspect_text(case.bench, member.group, words))
    return MappingProxyType(found)


def _readings(case: Case, words: Catalogue) -> tuple[Reading, ...]:
    """The last reading between two points before the last repair, at the point of the red lead."""
    repaired = case.course.situation.repaired
    minus = battery_minus(case.bench.vehicle)
    found: dict[tuple[str, str], Reading] = {}
    for one in case.course.observations:
        if isinstance(one, MeterRead) and one.setup.red is not None and (not repaired or one.repaired != repaired):
            told = reading_of(case, one, words)
            point, black = _drawn(one.setup.red), _drawn(one.setup.black) if one.setup.black else ""
            other = words.say("drawing.against", point=black) if minus and black not in ("", _drawn(minus)) else ""
            found[point, black] = Reading(point, f"{told.read} {other}".strip(), told.verdict or BETWEEN)
    return tuple(found.values())


def _drawn(point: Point) -> str:
    """A point's name on a drawing."""
    return str(Point(point.part, point.pin, point.half, ring=point.ring))
