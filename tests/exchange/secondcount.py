"""A second count of harness files, apart from the program: plain trees and tables, no code in common with it.

It reads the ends of wires and joins pins over wires and contacts alone: not through the bars of a box, nor a fuse, nor
the inside of a device. A pin is written `holder:cavity`, a splice and a ring terminal by their name alone. Written from
the published schemas of KBL (VDA 4964) and VEC (VDA 4968); it trusts its file and fails on a broken one.
"""

import csv
import re
import xml.etree.ElementTree as ET
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

TYPE = "{http://www.w3.org/2001/XMLSchema-instance}type"
Net = frozenset[str]


@dataclass(frozen=True)
class Count:
    """What `loombench import --json` counts, and the nets themselves, each a set of pins."""

    connections: int
    connectors: int
    splices: int
    rings: int
    carriers: int
    fuses: int
    segments: int
    netlist: frozenset[Net]

    @property
    def nets(self) -> int:
        """How many sets of joined pins."""
        return len(self.netlist)

    @property
    def largest_net(self) -> int:
        """Pins of the largest."""
        return max(map(len, self.netlist), default=0)


def joined(groups: Iterable[Iterable[str]]) -> frozenset[Net]:
    """Groups that share a member, thrown together by brute force."""
    nets: list[set[str]] = []
    for group in groups:
        new = set(group)
        for net in [net for net in nets if net & new]:
            nets.remove(net)
            new |= net
        if new:
            nets.append(new)
    return frozenset(frozenset(net) for net in nets)


def holds(condition: str, codes: frozenset[str]) -> bool:
    """A condition of option codes: `/` parts alternatives, `+` what must be together."""
    return any(
        all(code.strip() in codes or code.strip() == "ALL" for code in part.split("+")) for part in condition.split("/")
    )


def kbl(path: Path, codes: Iterable[str] | None = None) -> Count:
    """Count a KBL file; with codes, only what a module whose condition holds, or no module at all, controls."""
    root = ET.parse(path).getroot()
    harness = root.find("Harness")
    assert harness is not None
    by_id = {node.get("id", ""): node for node in root.iter() if node.get("id")}
    kept = _kept(root, codes)
    plain = [c for c in harness if _tag(c) in ("Connector_occurrence", "Specified_connector_occurrence")]
    boxes = [c for c in harness if _tag(c) in ("Component_box_occurrence", "Specified_component_box_occurrence")]
    plain, boxes = [c for c in plain if kept(c)], [b for b in boxes if kept(b)]
    pins: dict[str, str] = {}
    alone: list[list[str]] = []
    points: dict[str, list[str]] = {}
    for holder in plain + boxes:
        name, single = _text(holder, "Id"), _usage(holder) in ("splice", "ring terminal")
        for part in holder if holder in boxes else [holder]:
            before = (
                _text(by_id[_text(part, "Part")], "Id") if part is not holder and part.find("Part") is not None else ""
            )
            for cavity in [node for node in part.iter() if node.tag in ("Cavities", "Component_cavities")]:
                number = before + _text(by_id[_text(cavity, "Part")], "Cavity_number")
                pins[cavity.get("id", "")] = name if single else f"{name}:{number}"
        pins[holder.get("id", "")] = f"{name}:shield"
        for point in holder.iter("Contact_points"):
            points[point.get("id", "")] = [pins[one] for one in _text(point, "Contacted_cavity").split()]
            alone.append(points[point.get("id", "")])
    mated: list[list[str]] = []
    for holder in plain:
        for cavity in holder.iter("Cavities"):
            mated += [[pins[cavity.get("id", "")], pins[other]] for other in _text(cavity, "Mated_cavities").split()]
        for slot in holder.iter("Slots"):
            for other in _text(slot, "Mated_slots").split():
                mated += _by_number(slot, by_id[other], by_id, pins)
    wired = []
    for link in [c for c in harness.findall("Connection") if kept(c) and kept(by_id[_text(c, "Wire")])]:
        ends = [_text(end, "Contact_point") for end in link.findall("Extremities")]
        wired.append([pin for end in ends for pin in points.get(end, [pins.get(end, "")])])
    live = {pin for group in wired for pin in group}
    nets = frozenset(net for net in joined(wired + alone + mated) if net & live)
    fuses = [c for c in harness if "omponent_occurrence" in _tag(c) or _tag(c) == "Fuse_occurrence"]
    parts = [(fuse, by_id[_text(fuse, "Part")]) for fuse in fuses if kept(fuse)]
    return Count(
        connections=len(wired),
        connectors=len(plain),
        splices=sum(_usage(c) == "splice" for c in plain),
        rings=sum(_usage(c) == "ring terminal" for c in plain),
        carriers=len(boxes),
        fuses=sum((part.get(TYPE) or part.tag).split(":")[-1] == "Fuse" for _, part in parts),
        segments=len(root.findall("Segment")),
        netlist=nets,
    )


def vec(path: Path) -> Count:
    """Count a VEC file: wires by their ends, joined by contact points and what is coupled to what."""
    root = ET.parse(path).getroot()
    by_id = {node.get("id", ""): node for node in root.iter() if node.get("id")}
    above = {child: node for node in root.iter() for child in node}
    roles: dict[str, int] = defaultdict(int)
    for role in root.iter("Role"):
        roles[_tag(role)] += 1

    def component(node: ET.Element) -> str:
        while node.tag not in ("Component", "Occurrence", "PartOccurrence"):
            node = above[node]
        return _text(node, "Identification")

    def cavity(reference: str) -> str:
        node = by_id[reference]
        return f"{component(node)}:{_text(by_id[_text(node, 'ReferencedCavity')], 'CavityNumber')}"

    groups: list[list[str]] = []
    used: dict[str, list[str]] = {}
    for point in root.iter("ContactPoint"):
        at = [cavity(one) for each in point.iter("EquippedCavityRef") for one in (each.text or "").split()]
        if not at:
            terminal = _text(point, "MountedTerminal")
            at = [component(by_id[terminal]) if terminal else _text(point, "Identification")]
        groups.append(at)
        for end in [one for each in point.iter("ReferencedWireEnd") for one in (each.text or "").split()]:
            used[end] = at
    wired = []
    for element in root.iter("WireElementReference"):
        ends = [end.get("id", "") for end in element.findall("WireEnd")]
        if ends:
            wired.append([pin for end in ends for pin in used.get(end, [f"open:{end}"])])
    live = {pin for group in wired for pin in group}
    nets = frozenset(net for net in joined(wired + groups) if net & live)
    specified = {one.get("id", ""): _tag(one) for one in root.iter("Specification")}
    electric = [specified.get(_text(role, "EEComponentSpecification"), "") for role in root.iter("Role")]
    return Count(
        connections=len(wired),
        connectors=roles["ConnectorHousingRole"] + roles["SpliceTerminalRole"] + roles["RingTerminalRole"],
        splices=roles["SpliceTerminalRole"],
        rings=roles["RingTerminalRole"],
        carriers=electric.count("EEComponentSpecification"),
        fuses=electric.count("FuseSpecification"),
        segments=len(list(root.iter("TopologySegment"))),
        netlist=nets,
    )


def wirelist(path: Path, codes: Iterable[str] | None = None) -> Count:
    """Count a wire list in the canonical columns, comma separated, remarks after `#`."""
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    rows = [row for row in csv.DictReader(lines) if codes is None or row["option"] in {"", "ALL", *codes}]
    singles = {
        row[f"{side}_conn"]: re.match("SPLICE|RING", row[f"{side}_terminal"]).group()  # type: ignore[union-attr]
        for row in rows
        for side in ("from", "to")
        if re.match("SPLICE|RING", row[f"{side}_terminal"])
    }

    def pin(row: dict[str, str], side: str) -> str:
        name = row[f"{side}_conn"]
        return name if name in singles else f"{name}:{row[f'{side}_cavity']}"

    wired = [[pin(row, "from"), pin(row, "to")] for row in rows]
    names = {pin.split(":")[0] for group in wired for pin in group}
    return Count(
        connections=len(rows),
        connectors=len(names),
        splices=sum(kind == "SPLICE" for kind in singles.values()),
        rings=sum(kind == "RING" for kind in singles.values()),
        carriers=0,
        fuses=0,
        segments=0,
        netlist=joined(wired),
    )


def _tag(node: ET.Element) -> str:
    return (node.get(TYPE) or node.tag).split(":")[-1]


def _text(node: ET.Element, child: str) -> str:
    return (node.findtext(child) or "").strip()


def _usage(holder: ET.Element) -> str:
    return _text(holder, "Usage").lower()


def _kept(root: ET.Element, codes: Iterable[str] | None):  # type: ignore[no-untyped-def]
    chosen = None if codes is None else frozenset(codes)
    by: dict[str, list[str]] = defaultdict(list)
    for module in root.iter("Module_configuration"):
        for one in _text(module, "Controlled_components").split():
            by[one].append(_text(module, "Logistic_control_information"))

    def kept(node: ET.Element) -> bool:
        conditions = by[node.get("id", "")]
        return chosen is None or not conditions or any(holds(one, chosen) for one in conditions)

    return kept


def _by_number(a: ET.Element, b: ET.Element, by_id: dict[str, ET.Element], pins: dict[str, str]) -> list[list[str]]:
    there = {_text(by_id[_text(c, "Part")], "Cavity_number"): pins[c.get("id", "")] for c in b.iter("Cavities")}
    here = {_text(by_id[_text(c, "Part")], "Cavity_number"): pins[c.get("id", "")] for c in a.iter("Cavities")}
    return [[pin, there[number]] for number, pin in here.items() if number in there]
