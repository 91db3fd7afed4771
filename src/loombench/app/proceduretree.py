"""A procedure made ready to be printed: equal sub-trees once, steps numbered, ends lettered, shares added up.

Two steps are one where the card says the same and every way leads to the same; their shares and minutes are then those
of all the vehicles that come through.
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace

from loombench.app.cards import StepCard
from loombench.app.procedure import DEEP, RARE, STOPPED, Cut, Fork, Node, Procedure, Way
from loombench.app.procedureend import End

NOT_FOLLOWED = (RARE, DEEP, STOPPED)
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class Left:
    """What is still to be expected: `named` is the share of the vehicles that end with something to put right; of
    these, the seconds until it is proven, and until it is put right too."""

    named: float
    proof_s: float
    mend_s: float


@dataclass(frozen=True)
class Exit:
    """A way out of a printed step, from which on; `to` is where it goes: a step's number, an end's letters, or why it
    is not followed. `chance` is of 1 at this step."""

    word: str
    low: float | None
    high: float | None
    chance: float
    means: tuple[str, ...]
    to: int | str
    left: Left


@dataclass(frozen=True)
class Printed:
    """A step with its number; `reach` is the share of all vehicles that come to it, `cost_s` what it takes them."""

    number: int
    card: StepCard
    reach: float
    cost_s: float
    left: Left
    exits: tuple[Exit, ...]


@dataclass(frozen=True)
class Ending:
    """An end with its letters and the share of all vehicles that come to it."""

    letters: str
    end: End
    reach: float


@dataclass(frozen=True)
class Sheet:
    """All that is printed: the steps in the order they are read, the ends, what is expected from the start, the share
    of the vehicles that come to an end, and how many steps were drawn together into one."""

    steps: tuple[Printed, ...]
    ends: tuple[Ending, ...]
    left: Left
    ended: float
    shared: int


def sheet_of(tree: Procedure) -> Sheet:
    """The tree as it is printed."""
    left = _lefts(tree.nodes)
    reach = _reaches(tree.nodes)
    like = _alike(tree.nodes)
    classes: dict[int, list[int]] = {}
    for number, one in enumerate(like):
        classes.setdefault(one, []).append(number)
    order = _order(tree.nodes, like, classes, reach)
    tests = [one for one in order if isinstance(tree.nodes[classes[one][0]], Fork)]
    ends = [one for one in order if isinstance(tree.nodes[classes[one][0]], End)]
    names: dict[int, int | str] = {one: place for place, one in enumerate(tests, 1)}
    names |= {one: letters_of(place) for place, one in enumerate(ends)}
    steps = tuple(_printed(tree.nodes, like, classes[one], names, reach, left) for one in tests)
    endings = []
    for one in ends:
        members = classes[one]
        heaviest = tree.nodes[max(members, key=lambda number: reach[number])]
        assert isinstance(heaviest, End)
        whole = _mixed([reach[number] for number in members], [left[number] for number in members])
        end = replace(heaviest, proof_s=whole.proof_s, mend_s=whole.mend_s)
        endings.append(Ending(str(names[one]), end, sum(reach[number] for number in members)))
    ended = sum(one.reach for one in endings)
    drawn = sum(isinstance(node, Fork) for node in tree.nodes) - len(steps)
    return Sheet(steps, tuple(endings), left[0], ended, drawn)


def letters_of(place: int) -> str:
    """A, B, ... Z, AA, AB, ... counted from 0."""
    more, last = divmod(place, len(LETTERS))
    return (letters_of(more - 1) if more else "") + LETTERS[last]


def _lefts(nodes: Sequence[Node]) -> list[Left]:
    """[nodes] what is still expected at each. Whoever comes after a node has a larger number."""
    found = [Left(0.0, 0.0, 0.0)] * len(nodes)
    for number in reversed(range(len(nodes))):
        node = nodes[number]
        if isinstance(node, End):
            found[number] = Left(1.0 if node.names else 0.0, node.proof_s, node.mend_s)
        elif isinstance(node, Fork):
            ahead = _mixed([way.chance for way in node.ways], [found[way.to] for way in node.ways])
            cost_s = node.card.cost_s
            found[number] = Left(ahead.named, ahead.proof_s + cost_s, ahead.mend_s + cost_s)
    return found


def _mixed(weights: Sequence[float], each: Sequence[Left]) -> Left:
    """The mean, by weights, of those that end with something to put right."""
    whole = sum(weights)
    named = sum(weight * one.named for weight, one in zip(weights, each, strict=True))
    if whole <= 0.0 or named <= 0.0:
        return Left(0.0, 0.0, 0.0)
    proof_s = sum(weight * one.named * one.proof_s for weight, one in zip(weights, each, strict=True)) / named
    mend_s = sum(weight * one.named * one.mend_s for weight, one in zip(weights, each, strict=True)) / named
    return Left(named / whole, proof_s, mend_s)


def _reaches(nodes: Sequence[Node]) -> list[float]:
    """[nodes] the share of all vehicles that come to each."""
    found = [0.0] * len(nodes)
    found[0] = 1.0
    for number, node in enumerate(nodes):
        for way in node.ways if isinstance(node, Fork) else ():
            found[way.to] = found[number] * way.chance
    return found


def _alike(nodes: Sequence[Node]) -> list[int]:
    """[nodes] a number that is the same for equal sub-trees."""
    known: dict[Hashable, int] = {}
    found = [0] * len(nodes)
    for number in reversed(range(len(nodes))):
        found[number] = known.setdefault(_key(nodes[number], found), len(known))
    return found


def _key(node: Node, like: Sequence[int]) -> Hashable:
    """What is printed of a node, but for shares and minutes."""
    match node:
        case Cut(why=why):
            return ("cut", why)
        case End():
            jobs = tuple((one.text, one.cautions) for one in node.jobs)
            return ("end", node.state, node.text, node.more, node.retest, jobs)
        case Fork(card=card, ways=ways):
            said = (card.cautions, card.action, card.place, card.settings, card.red_side, card.black_side, card.unit)
            return ("test", said, tuple((way.word, _read(way.low), _read(way.high), like[way.to]) for way in ways))


def _read(edge: float | None) -> str:
    """The end of a band as finely as it is printed: what is alike on paper is alike."""
    return "" if edge is None else f"{edge:.3g}"


def _order(
    nodes: Sequence[Node], like: Sequence[int], classes: dict[int, list[int]], reach: Sequence[float]
) -> list[int]:  # fmt: skip
    """The kinds of nodes in the order they are read: from each step the likeliest way is followed first."""
    found: dict[int, None] = {}
    waiting = [like[0]]
    while waiting:
        one = waiting.pop()
        if one in found:
            continue
        found[one] = None
        node = nodes[max(classes[one], key=lambda number: reach[number])]
        if isinstance(node, Fork):
            waiting += [like[way.to] for way in sorted(node.ways, key=lambda way: way.chance)]
    return list(found)


def _printed(
    nodes: Sequence[Node], like: Sequence[int], members: Sequence[int], names: dict[int, int | str],
    reach: Sequence[float], left: Sequence[Left],
) -> Printed:  # fmt: skip
    weights = [reach[number] for number in members]
    whole = sum(weights)
    tests = [node for node in (nodes[number] for number in members) if isinstance(node, Fork)]
    heaviest = tests[max(range(len(tests)), key=lambda place: weights[place])]
    exits: list[Exit] = []
    for place, way in enumerate(heaviest.ways):
        each = [test.ways[place] for test in tests]
        parts = [weight * one.chance for weight, one in zip(weights, each, strict=True)]
        target = nodes[way.to]
        to = target.why if isinstance(target, Cut) else names[like[way.to]]
        ahead = _mixed(parts, [left[one.to] for one in each])
        _add(exits, way, sum(parts) / whole, to, ahead)
    cost_s = sum(weight * test.card.cost_s for weight, test in zip(weights, tests, strict=True)) / whole
    number = names[like[members[0]]]
    assert isinstance(number, int)
    return Printed(number, heaviest.card, whole, cost_s, _mixed(weights, [left[one] for one in members]), tuple(exits))


def _add(exits: list[Exit], way: Way, chance: float, to: int | str, left: Left) -> None:
    """One more way out; a band that goes where the one below it goes is one with it, if it goes anywhere."""
    before = exits[-1] if exits else None
    on = before is not None and before.to == to and to not in NOT_FOLLOWED
    if before is not None and on and not way.word and before.high == way.low:
        means = before.means if before.chance >= chance else way.means
        both = _mixed([before.chance, chance], [before.left, left])
        exits[-1] = Exit("", before.low, way.high, before.chance + chance, means, to, both)
    else:
        exits.append(Exit(way.word, way.low, way.high, chance, way.means, to, left))
