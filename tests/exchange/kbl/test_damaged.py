"""KBL files altered at random, element by element: a harness that comes out of it holds together.

References, texts, ids and kinds are exchanged among those of the traps and the sample, so that what is met is what the
reader looks for, in the wrong place.
"""

import random
import xml.etree.ElementTree as ET
from copy import deepcopy
from pathlib import Path

import pytest

from loombench.exchange.harness import Harness
from loombench.exchange.kbl.read import read_kbl
from loombench.exchange.netcount import count
from loombench.exchange.variants import chosen

FOLDER = Path(__file__).parents[1]
ODD = ("", "-1", "NaN", "1e999", "0,5", "/NULL", "a b c", "\u202e", "\u00c3\u00bc", "(A+", "A/B", "x" * 3000)
ROUNDS = 60


def trees() -> list[ET.Element]:
    files = [*sorted((FOLDER / "traps").glob("*.kbl")), FOLDER / "samples" / "mini.kbl"]
    return [ET.fromstring(file.read_bytes()) for file in files]


def alter(tree: ET.Element, choice: random.Random) -> None:
    """Alter the tree in a few places."""
    for _ in range(choice.randint(1, 12)):
        inside = list(tree.iter())
        if len(inside) < 2:
            return
        one, other = choice.choice(inside), choice.choice(inside[1:])
        ids = [element.get("id", "") for element in inside if element.get("id")] or ["x"]
        kind = choice.randrange(8)
        if kind == 0 and len(one):
            one.remove(choice.choice(list(one)))
        elif kind == 1:
            one.text = choice.choice(ids)
        elif kind == 2:
            one.text = other.text
        elif kind == 3 and len(inside) < 2000:
            one.append(deepcopy(other))
        elif kind == 4:
            one.set("id", choice.choice(ids))
        elif kind == 5:
            one.tag = other.tag
        elif kind == 6:
            one.text = choice.choice((*ODD, " ".join(ids[:40])))
        else:
            one.attrib.pop("id", None)


def holds_together(harness: Harness) -> bool:
    """Whether every name is given once, and everything named is there."""
    cavities = {one.id: set(one.cavities) for one in harness.holders}
    contacts = {one.id for one in harness.contacts}
    spots = [end.spot for wire in harness.wires for end in wire.ends if end.spot is not None]
    spots += [spot for one in harness.fitted for spot in one.spots]
    groups = [(one.holder, one.cavities) for one in harness.contacts]
    groups += [(one.id, group) for one in harness.holders for group in one.joined]
    groups += [(one.id, slot.cavities) for one in harness.holders for slot in one.slots]
    groups += [
        (name, (pair[side],))
        for one in harness.matings
        for pair in one.pairs
        for side, name in ((0, one.a), (1, one.b))
    ]
    return (
        len(cavities) == len(harness.holders)
        and len(contacts) == len(harness.contacts)
        and len({one.id for one in harness.wires}) == len(harness.wires)
        and len({one.id for one in harness.fitted}) == len(harness.fitted)
        and all(len(wire.ends) >= 2 for wire in harness.wires)
        and all(end.contact in contacts for wire in harness.wires for end in wire.ends if end.contact)
        and all(spot.cavity in cavities[spot.holder] for spot in spots)
        and all(set(group) <= cavities[holder] for holder, group in groups)
    )


@pytest.mark.parametrize("seed", range(6))
def test_a_damaged_file_gives_a_harness_that_holds_together_or_none(seed: int) -> None:
    choice = random.Random(seed)
    whole = trees()
    read = 0
    for _ in range(ROUNDS):
        tree = deepcopy(choice.choice(whole))
        alter(tree, choice)
        imported = read_kbl(ET.tostring(tree), "x.kbl")
        harness = imported.harness
        assert (harness is None) == any(one.level.value == "error" for one in imported.problems)
        if harness is None:
            continue
        read += 1
        left = chosen(harness, ["A", *(one.code for one in harness.options[:2])]).harness
        assert left is not None
        for one in (harness, left):
            assert holds_together(one)
            assert count(one).connections == len(one.wires)
    assert read > ROUNDS / 2
