"""A step as a card: in words of the catalogue, with what each answer would mean."""

import math
from collections.abc import Sequence
from dataclasses import replace

from loombench.app.cards import Meaning, StepCard
from loombench.app.spoken import point_text
from loombench.app.suspectwords import job_text, suspect_text
from loombench.base.wording import Catalogue
from loombench.circuit.aid import rated_w
from loombench.diagnose.belief import Belief, leading
from loombench.diagnose.bench import Bench
from loombench.diagnose.choose import Ranked
from loombench.diagnose.cooling import once_stopped
from loombench.diagnose.expected import nominal
from loombench.diagnose.looking import CheckPosition, LookFuse, Mend, See
from loombench.diagnose.measuring import Measure
from loombench.diagnose.place import place_of_part, place_of_point
from loombench.diagnose.region import setting
from loombench.diagnose.repair import FUSES
from loombench.diagnose.safety import cautions
from loombench.diagnose.situation import REMOVE, Situation, differing, hands_at
from loombench.diagnose.standing import is_battery
from loombench.diagnose.step import FloatArray, Outcome, Step
from loombench.diagnose.touching import FeelGrip, ReadInput
from loombench.diagnose.trying import rated_a
from loombench.facts.aid import limiter_w, substitute_w
from loombench.vehicle.condition import CLAMPS, ENGINE, PROVOKING, RUNNING, Condition, Operation
from loombench.vehicle.points import FACE, PIN, WIRE, Point

NAMED = 3
"""So many suspects are named for each answer."""
LAST = (*PROVOKING, "actuate", "feed")
OTHER_METERS = ("clamp", "millivoltmeter")
MINUTES_FROM_S = 120.0
LIKELY = 0.1
"""A suspect is named for an answer from this share on."""


def step_card(
    belief: Belief, situation: Situation, ranked: Ranked, share: FloatArray, reason: str, then: Sequence[Step],
    words: Catalogue,
) -> StepCard:  # fmt: skip
    """The card of a step; `share` are the weights it was chosen by, `then` the steps that would be next."""
    meanings = _meanings(belief, situation, ranked.step, share, words)
    choices = () if ranked.step.number else tuple(meaning.mark for meaning in meanings)
    card = bare_card(belief.bench, situation, ranked.step, ranked.cost_s, reason, words)
    then_short = tuple(short(one, words) for one in then)
    stopped = once_stopped(belief, situation, ranked.step)
    if stopped:
        # Volts are those of the circuit with the breaker open, which is where it comes to rest.
        action = f"{words.say('step.once-stopped', load=load_text(belief.bench, stopped))} {card.action}"
        first = words.say("caution.cooling")
        card = replace(card, action=action, cautions=(first, *(one for one in card.cautions if one != first)))
    return replace(card, choices=choices, meanings=meanings, then=then_short)


def bare_card(bench: Bench, situation: Situation, step: Step, cost_s: float, reason: str, words: Catalogue) -> StepCard:
    """The card of a step without what each answer would mean and what comes after it: nothing is worked out for it of
    all that may be wrong."""
    condition = condition_of(step, situation)
    moves = _in_order(differing(bench.vehicle, situation.condition, condition))
    keys = cautions(bench, step)
    red, black = (step.setup.red, step.setup.black) if isinstance(step, Measure) else (None, None)
    clamped = isinstance(step, Measure) and step.setup.meter in CLAMPS
    places = _places(bench, step)
    return StepCard(
        id=step.id,
        kind=step.kind,
        cautions=tuple(words.say(f"caution.{key}") for key in keys),
        action=_action(bench, step, situation.condition, condition, moves, words),
        place=places[0] if places else "",
        reach=_reach(bench, places),
        settings=tuple(str(one) for one in moves if one.verb != REMOVE),
        red=point_text(bench.vehicle, red, words) if red else "",
        red_side=words.say("step.clamp-side") if clamped else _side(bench, red, condition, words),
        black=point_text(bench.vehicle, black, words) if black else "",
        black_side=_side(bench, black, condition, words),
        plugged=not any(operation.verb in ("unplug", "pull", "substitute") for operation in condition.operations),
        unit=step.unit if isinstance(step, Measure) else "",
        choices=(),
        nominal=nominal(bench, step.setup) if isinstance(step, Measure) else None,
        meanings=(),
        why=words.say(f"why.{reason}"),
        cost_s=cost_s,
        then=(),
    )


def _in_order(moves: tuple[Operation, ...]) -> tuple[Operation, ...]:
    """What sets something going, or has to be watched, comes when all else is set."""
    return tuple(sorted(moves, key=lambda move: move.verb in LAST))


def temporary_text(bench: Bench, step: Step, words: Catalogue) -> str:
    """What a step puts on that must not be forgotten in a vehicle; empty where nothing."""
    condition = step.setup.condition if isinstance(step, Measure) else step.condition if isinstance(step, See) else None
    feeds = [aid for aid in condition.aids if aid.verb == "feed"] if condition is not None else []
    return " ".join(
        words.say("step.temporary-feed", target=load_text(bench, aid.target), value=aid.value) for aid in feeds
    )


def short(step: Step, words: Catalogue) -> str:
    """A step in few words, for the list of what comes next."""
    match step:
        case Measure():
            unit = words.say(f"short.{step.unit}")
            red, black = step.setup.red, step.setup.black
            between = step.drop and black is not None
            return words.say("short.between" if between else "short.at", unit=unit, red=red, black=black)
        case See():
            return words.say("short.see", load=step.load, condition=step.condition)
        case CheckPosition():
            return words.say("short.position", control=step.control)
        case LookFuse():
            return words.say("short.look", fuse=step.fuse, condition=step.condition)
        case Mend():
            return words.say("short.mend", what=step.group)
        case FeelGrip():
            return words.say("short.grip", contact=step.group)
        case ReadInput():
            return words.say("short.input", part=step.part, pin=step.pin, condition=step.condition)
    return step.id


def condition_of(step: Step, situation: Situation) -> Condition:
    """The state a step is done in: its own, else the one the vehicle is in."""
    match step:
        case Measure():
            return step.setup.condition
        case See() | Mend() | ReadInput():
            return step.condition
    return situation.condition


def _places(bench: Bench, step: Step) -> tuple[str, ...]:
    match step:
        case Measure():
            points = [point for point in (step.setup.red, step.setup.black) if point is not None]
            return tuple(dict.fromkeys(place for place in (place_of_point(bench.vehicle, p) for p in points) if place))
        case LookFuse():
            names: tuple[str, ...] = (place_of_part(bench.vehicle, step.fuse),)
        case CheckPosition():
            names = (place_of_part(bench.vehicle, bench.vehicle.controls[step.control].part),)
        case Mend():
            return step.places
        case FeelGrip():
            names = (place_of_part(bench.vehicle, step.point.part),)
        case See():
            names = hands_at(bench.vehicle, Condition(), step.condition)
        case _:
            return ()
    return tuple(name for name in names if name)


def _reach(bench: Bench, places: tuple[str, ...]) -> str:
    notes = (bench.vehicle.places[name].note for name in places[:1] if name in bench.vehicle.places)
    return next((note for note in notes if note), "")


def _side(bench: Bench, point: Point | None, condition: Condition, words: Catalogue) -> str:
    if point is None:
        return ""
    part = bench.vehicle.parts.get(point.part)
    kind = part.kind if part else ""
    if _across_lamp(point, condition):
        return words.say("step.lamp-side")
    if kind == "battery":
        return words.say("step.post-side")
    if kind == "stud" and not point.ring:
        return words.say("step.stud-side")
    if point.layer == FACE:
        return words.say("step.face-side")
    apart = {operation.target for operation in condition.operations if operation.verb in ("unplug", "pull")}
    if point.layer == PIN:
        return words.say("step.part-side" if point.part in apart or kind not in FUSES else "step.blade-side")
    if point.part not in apart:
        return words.say("step.wire-side")
    drawn = Operation("pull", point.part) in condition.operations
    return words.say("step.dead-side" if drawn else "step.plug-side")


def _across_lamp(point: Point, condition: Condition) -> bool:
    """Whether a point is an end of the lamp that stands in for a load."""
    stand_ins = [aid.target.partition(".")[0] for aid in condition.aids if aid.verb == "substitute"]
    return point.layer == PIN and point.part in stand_ins


def _action(
    bench: Bench, step: Step, now: Condition, then: Condition, moves: tuple[Operation, ...], words: Catalogue
) -> str:
    held = _still_held(bench, then, moves) if isinstance(step, Measure | See) else ()
    told = [words.say("step.keep-held", target=load_text(bench, one.target), value=one.value) for one in held]
    first = " ".join([*told, *(_move(bench, one, words) for one in moves)])
    if isinstance(step, Measure) and step.setup.meter == RUNNING:
        first = f"{_clamp_on(bench, step, moves, words)} {first}".strip()
    if isinstance(step, Mend):
        job = job_text(bench, step.group, words)
        return " ".join(f"{job} {first} {words.say('step.mend', load=load_text(bench, step.load))}".split())
    return f"{first} {_act(bench, step, now, words)}".strip()


def _move(bench: Bench, move: Operation, words: Catalogue) -> str:
    value, key = move.value, move.verb
    match move.verb:
        case "limiter":
            value = f"{limiter_w(bench.nominal_v):g} W"
        case "substitute":
            value = f"{substitute_w(rated_w(bench.vehicle, move.target)):g} W"
        case "swap":
            value = load_text(bench, move.value)
        case "set" if _springs_back(bench, move):
            key = "set-held"
        case "wait" if float(move.value) >= MINUTES_FROM_S:
            key, value = "wait-minutes", f"{float(move.value) / 60.0:.0f}"
        case "remove":
            key = f"remove-{move.value}"
    return words.say(f"step.do-{key}", target=_target_text(bench, move.target, words), value=value)


def _still_held(bench: Bench, condition: Condition, moves: tuple[Operation, ...]) -> tuple[Operation, ...]:
    """What springs back and was set for the step before: it is let go of unless the step says that it stays held."""
    moved = {one.target for one in moves}
    sets = {one.target: one for one in condition.operations if one.verb == "set" and one.target not in moved}
    return tuple(one for one in sets.values() if _springs_back(bench, one))


def _clamp_on(bench: Bench, step: Measure, moves: tuple[Operation, ...], words: Catalogue) -> str:
    """The clamp goes on before the load does; where no wait is among what is set, the breaker is let cool by hand."""
    red = step.setup.red
    told = words.say("step.running-on", red=point_text(bench.vehicle, red, words))
    if any(one.verb == "wait" for one in moves):
        return told
    return f"{told} {words.say('step.running-cool', part=load_text(bench, red.part))}"


def _springs_back(bench: Bench, move: Operation) -> bool:
    control = bench.vehicle.controls.get(move.target)
    position = control.position(move.value) if control is not None else None
    return position is not None and position.springs_back


def _target_text(bench: Bench, name: str, words: Catalogue) -> str:
    """A part, element, point or wire as it is called in a sentence."""
    wire = bench.vehicle.wire_by_id.get(name)
    if wire is not None:
        return words.say("step.wire", a=wire.a, b=wire.b, colour=wire.colour)
    return load_text(bench, name)


def _act(bench: Bench, step: Step, now: Condition, words: Catalogue) -> str:
    match step:
        case Measure() if step.setup.meter == RUNNING:
            rated = rated_a(bench.vehicle.parts[step.setup.red.part])
            facts = {"part": step.setup.red.part, "rating": rated}
            limit = "" if rated is None else words.say("step.running-limit", **facts)
            return f"{words.say('step.running-clamp')} {limit}".strip()
        case Measure():
            leads = (step.setup.red, step.setup.black)
            if _across_lamp(step.setup.red, step.setup.condition):
                return words.say("step.measure-lamp", red=step.setup.red.at(WIRE))
            red, black = (point_text(bench.vehicle, point, words) if point else "" for point in leads)
            key = step.setup.meter if step.setup.meter in OTHER_METERS else step.kind
            return words.say(f"step.{key}", red=red, black=black)
        case See() if is_battery(bench, step.load):
            running = setting(step.condition).get(ENGINE) == "run"
            return words.say("step.charged" if running else "step.drain", load=load_text(bench, step.load))
        case See():
            return words.say(f"step.{step.kind}", load=load_text(bench, step.load))
        case LookFuse():
            return words.say("step.fuse", fuse=load_text(bench, step.fuse))
        case CheckPosition():
            control = bench.vehicle.controls[step.control]
            position = setting(now).get(control.id, control.rest)
            return words.say("step.position", control=load_text(bench, control.id), position=position)
        case FeelGrip():
            return words.say(
                "step.grip",
                part=load_text(bench, step.point.part),
                contact=point_text(bench.vehicle, step.point, words),
            )
        case ReadInput():
            pin = point_text(bench.vehicle, Point(step.part, step.pin), words)
            return words.say("step.input", pin=pin, module=load_text(bench, step.part))
    return step.id


def load_text(bench: Bench, name: str) -> str:
    """A part or element with its label: `E7 (boom work lamp, left)`."""
    part = bench.vehicle.parts.get(name) or bench.vehicle.parts.get(name.partition(".")[0])
    if part is None:
        return name
    inner = next((one.label for one in part.elements if f"{part.id}.{one.name}" == name and one.label), "")
    label = inner or part.label
    return f"{name} ({label})" if label else name


def _meanings(
    belief: Belief, situation: Situation, step: Step, share: FloatArray, words: Catalogue
) -> tuple[Meaning, ...]:
    outcomes = step.outcomes(belief.bench, share, situation)
    if not step.number:
        marks = [outcome.word for outcome in outcomes.outcomes]
        named = [likeliest(belief, share * outcomes.table[:, k], words) for k in range(len(marks))]
        keys = [mark.replace(" ", "-") for mark in marks]
        return tuple(
            Meaning(mark, words.say(f"meaning.{key}"), None, None, who)
            for mark, key, who in zip(marks, keys, named, strict=True)
        )
    if len(outcomes.outcomes) == 1:
        # What is owed before something is condemned may be read alike by all that is left: that means nothing.
        return ()
    sound = nominal(belief.bench, step.setup) if isinstance(step, Measure) else None
    found = [
        (mark, low, high, share * outcomes.table[:, first : last + 1].sum(axis=1))
        for mark, low, high, first, last in _three(outcomes.outcomes, sound)
    ]
    return tuple(
        Meaning(
            mark,
            words.say(f"meaning.{mark}"),
            None if math.isinf(low) else low,
            None if math.isinf(high) else high,
            likeliest(belief, weight, words),
        )
        for mark, low, high, weight in found
    )


def _three(outcomes: Sequence[Outcome], nominal: float | None) -> list[tuple[str, float, float, int, int]]:
    """At most three bands: the one a sound vehicle reads in is good, the one farthest from it bad, the rest between."""
    last = len(outcomes) - 1
    good = 0 if nominal is None else next(k for k, o in enumerate(outcomes) if o.low <= nominal <= o.high)
    bands: list[tuple[str, int, int]] = [("good", good, good)]
    below, above = good, last - good
    if below and above:
        bands = [("between", 0, good - 1), *bands, ("bad", good + 1, last)]
        if below > above:
            bands = [("bad", 0, good - 1), ("good", good, good), ("between", good + 1, last)]
    elif below:
        bands = [("bad", 0, 0), *([("between", 1, good - 1)] if below > 1 else []), *bands]
    elif above:
        bands = [*bands, *([("between", good + 1, last - 1)] if above > 1 else []), ("bad", last, last)]
    return [(mark, outcomes[one].low, outcomes[two].high, one, two) for mark, one, two in bands]


def likeliest(belief: Belief, weight: FloatArray, words: Catalogue) -> tuple[str, ...]:
    """The suspects that most of some weight [hypotheses] is on, most first."""
    names = leading(belief.hypotheses, weight, LIKELY)[:NAMED]
    return tuple(suspect_text(belief.bench, name, words) for name in names)
