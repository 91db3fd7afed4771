"""A KBL file (VDA 4964; 2.3 to 2.5) as a harness: `read_kbl`.

Read in one pass into `exchange.kbl.raw`, then resolved: modules, holders with their cavities, contacts, wires, what is
fitted, topology. Every repair is counted (`docs/import-kbl.md` lists them). KBL 2.2 has another structure; it is
refused and has to be brought up by the program it comes from.
"""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import PurePath
from types import MappingProxyType
from typing import BinaryIO

from loombench.base.problems import Level
from loombench.exchange.harness import Harness, Holder, Mating
from loombench.exchange.kbl.coloursin import read_colours
from loombench.exchange.kbl.contactsin import Contacts, read_contacts
from loombench.exchange.kbl.fittedin import read_fitted
from loombench.exchange.kbl.holdersin import Places, read_places
from loombench.exchange.kbl.matingin import mated
from loombench.exchange.kbl.modulesin import read_modules
from loombench.exchange.kbl.partsin import PART_TAKERS, Taker
from loombench.exchange.kbl.raw import Raw
from loombench.exchange.kbl.topology import read_topology
from loombench.exchange.kbl.usesin import HARNESS_TAKERS, USE_TAKERS
from loombench.exchange.kbl.wiresin import WireReader
from loombench.exchange.report import Imported, Notes
from loombench.exchange.texts import Texts
from loombench.exchange.variants import shared
from loombench.exchange.xmlin import Element, read_xml

FORMAT = "KBL"
ROOT, OLD_ROOT, HARNESS = "KBL_container", "KBL_schema", "Harness"
VERSIONS = ("2.3", "2.4", "2.5")
# Some programs put an occurrence beside the harness or a part into it; the names tell them apart anyway.
TAKERS: Mapping[str, Taker] = MappingProxyType({**PART_TAKERS, **USE_TAKERS})
_OLD_VERSIONS = ("1.", "2.0", "2.1", "2.2")
_SKIPPED = frozenset({
    "Alias_id", "External_references", "External_reference", "Placement", "Approval",
    "Material_information", "Mass_information", "Change", "Change_descriptions", "Creation", "Cartesian_point",
    "Dimension_specification", "Default_dimension_specification", "Fixing", "Fixing_assignment", "Accessory",
    "Cross_section_area_information", "Center_curve", "Start_vector", "End_vector", "Bend_radius", "Outside_diameter",
    "Schematic_connection", "Replacing",
})  # fmt: skip
_VOLTS = re.compile(r"(\d+(?:[.,]\d+)?)\s*V?", re.IGNORECASE)


def read_kbl(source: bytes | BinaryIO, file: str, colours: str = "") -> Imported:
    """The harness of a KBL file with all its variants, or none and the reason; never raises on what is in the file.

    Args:
        source: the file's bytes, or the file open for reading bytes; a large one is best handed over open.
        file: its name, for the places of problems.
        colours: the system of its colour letters (`IEC`, `DIN` ...), if it is known; else it is found by the letters.
    """
    notes = Notes()
    raw = Raw(file, notes, Texts(file, notes))
    taking = _Taking(raw)
    whole = read_xml(source, file, notes, (HARNESS,), taking.take, _SKIPPED)
    if whole and not taking.harness:
        notes.add("kbl-no-harness", Level.ERROR, raw.span(taking.line))
    if not whole or not taking.harness:
        return notes.imported(None, taking.rows)
    harness = _harness(raw, colours)
    if not harness.variants:
        shared(harness, notes)
    return notes.imported(harness, taking.rows)


class _Taking:
    """Takes the elements of one file as they come."""

    def __init__(self, raw: Raw) -> None:
        self.raw = raw
        self.rows: Counter[str] = Counter()
        self.harness = False
        self.line = 1

    def take(self, parent: str, element: Element) -> bool:
        if not parent:
            self.line = element.line
            return self._root(element)
        tag = element.tag.removeprefix("Specified_")
        if tag == HARNESS:
            self.harness = True
            return True
        taker = TAKERS.get(tag) or (HARNESS_TAKERS.get(tag) if parent == HARNESS else None)
        if taker is not None:
            if tag in USE_TAKERS:
                self.rows[tag.casefold()] += 1
            taker(self.raw, element)
        return True

    def _root(self, element: Element) -> bool:
        version = element.attributes.get("version_id", "").strip()
        if element.tag == OLD_ROOT or version.startswith(_OLD_VERSIONS):
            self.raw.notes.add("kbl-old", Level.ERROR, self.raw.span(element.line), version=version or "2.2")
            return False
        if element.tag != ROOT:
            self.raw.notes.add("kbl-root", Level.ERROR, self.raw.span(element.line), root=element.tag[:60])
            return False
        if not version.startswith(VERSIONS):
            self.raw.notes.add("kbl-version", Level.WARNING, self.raw.span(element.line), version=version[:40] or "?")
        return True


def _harness(raw: Raw, colours: str) -> Harness:
    loom = raw.name or PurePath(raw.file).stem
    modules = read_modules(raw)
    places = read_places(raw)
    contacts = read_contacts(raw, places, modules)
    topology = read_topology(raw, places)
    fitted = read_fitted(raw, places, modules)
    wires = WireReader(raw, contacts, modules, topology, read_colours(raw, colours or raw.colours)).wires(loom)
    matings = tuple(_matings(places, contacts))
    for draft in places.drafts.values():
        draft.options = modules.of(draft.key)
    _closed_assemblies(raw)
    holders: tuple[Holder, ...] = tuple(draft.holder(raw, loom) for draft in places.drafts.values())
    return Harness(
        loom, FORMAT, holders, tuple(contact for _draft, contact in contacts.found.values()), wires, fitted,
        topology.segments, matings, modules.options, _voltage_v(raw),
    )  # fmt: skip


def _matings(places: Places, contacts: Contacts) -> Iterator[Mating]:
    pairs = mated(places)
    for own, cavity, other, opposite in contacts.mated:
        pairs.setdefault((own.key, other.key), {})[cavity, opposite] = None
    for (one, two), joined in pairs.items():
        yield Mating(places.drafts[one].id, places.drafts[two].id, tuple(joined))


def _closed_assemblies(raw: Raw) -> None:
    """Say which bought assemblies have wires inside that the harness does not list as its own."""
    for key, (name, part, line) in raw.assembly_uses.items():
        wires = raw.assemblies.get(part, 0)
        if wires and key not in raw.related:
            raw.notes.add("assembly-closed", Level.WARNING, raw.span(line), assembly=name or key, wires=wires)


def _voltage_v(raw: Raw) -> float | None:
    """The nominal voltage, where all connections that give one give the same."""
    said = {found[1].replace(",", ".") for use in raw.connections.values() if (found := _VOLTS.fullmatch(use.voltage))}
    return float(said.pop()) if len(said) == 1 else None
