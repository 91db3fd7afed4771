"""Wires, cables and signals as VEC."""

from collections.abc import Mapping
from types import MappingProxyType

from loombench.exchange.harness import Harness, Wire
from loombench.exchange.vec.holdersout import Holders
from loombench.exchange.vec.pages import Pages
from loombench.exchange.xmlout import NULL, Tag, each, plain, tag

_SYSTEMS: Mapping[str, str] = MappingProxyType({"IEC": "IEC 60757"})
_COLOURS = ("BaseColor", "FirstIdentificationColor", "SecondIdentificationColor")


def write_wires(pages: Pages, harness: Harness, holders: Holders) -> list[Tag]:
    """Add the wires with their parts; the signals."""
    signals: dict[tuple[str, str], Tag] = {}
    cables: dict[tuple[str, str], list[Wire]] = {}
    for wire in harness.wires:
        if wire.signal or wire.clamp or harness.voltage_v is not None:
            _signal(pages, harness, wire, signals)
        if wire.cable:
            cables.setdefault((wire.cable, wire.loom), []).append(wire)
    for wire in harness.wires:
        if not wire.cable:
            _single(pages, wire, holders, signals)
        elif wire is cables[wire.cable, wire.loom][0]:
            _cable(pages, cables[wire.cable, wire.loom], holders, signals)
    return list(signals.values())


def _signal(pages: Pages, harness: Harness, wire: Wire, signals: dict[tuple[str, str], Tag]) -> None:
    key = (wire.signal, wire.clamp)
    if key in signals:
        return
    volts = f"{harness.voltage_v:g}V" if harness.voltage_v is not None else ""
    signals[key] = tag(
        "Signal",
        tag("Identification", wire.signal or wire.clamp or NULL),
        tag("SignalName", wire.signal) if wire.signal else None,
        tag("ClampName", wire.clamp) if wire.clamp else None,
        tag("NominalVoltage", volts) if volts else None,
        id=pages.names.new("sig"),
    )


def _element(pages: Pages, wire: Wire) -> str:
    """The specification of a conductor with its insulation, made once for each kind."""
    key = ("element", wire.area_mm2, wire.colour, wire.type, wire.shield)
    if key not in pages.known:
        area = pages.area(wire.area_mm2)
        size = wire.size_text or (plain(wire.area_mm2) if wire.area_mm2 is not None else NULL)
        conductor = pages.specify("ShieldSpecification" if wire.shield else "CoreSpecification", size, area)
        system = _SYSTEMS.get(wire.colour.system, wire.colour.system or NULL)
        colours = [
            tag(name, tag("Key", text), tag("ReferenceSystem", system), id=pages.names.new("k"))
            for name, text in zip(_COLOURS, wire.colour.parts, strict=False)
        ]
        insulation = pages.specify("InsulationSpecification", "/".join(wire.colour.parts) or NULL, *colours)
        inside = (tag("Type", wire.type), tag("ReferenceSystem", NULL))
        kind = tag("Type", *inside, id=pages.names.new("wt")) if wire.type else None
        pages.known[key] = pages.specify("WireElementSpecification", size, kind,
                                         tag("ConductorSpecification", conductor),
                                         tag("InsulationSpecification", insulation))  # fmt: skip
    return pages.known[key]


def _single(pages: Pages, wire: Wire, holders: Holders, signals: dict[tuple[str, str], Tag]) -> None:
    element = _element(pages, wire)
    key = ("wire", element, wire.part_number)
    part = pages.part(wire.part_number, "Wire")
    if key not in pages.known:
        own = pages.names.new("we")
        inside = (tag("Identification", "1"), tag("WireElementSpecification", element))
        pages.known["we", key] = own
        pages.known[key] = pages.specify("WireSpecification", "wire", tag("WireElementSpecification", element),
                                         tag("WireElement", *inside, id=own), part=part)  # fmt: skip
    reference = _reference(pages, wire, pages.known["we", key], holders, signals)
    role = tag("Role", tag("Identification", wire.id), tag("WireSpecification", pages.known[key]), reference,
               xsi_type="vec:WireRole", id=pages.names.new("r"))  # fmt: skip
    pages.component(wire.id, role, part, wire.loom, wire.remark, wire.options)


def _cable(pages: Pages, wires: list[Wire], holders: Holders, signals: dict[tuple[str, str], Tag]) -> None:
    elements = [_element(pages, wire) for wire in wires]
    part = pages.part(wires[0].part_number, "Wire")
    cores = [pages.names.new("we") for _ in wires]
    inner = [
        tag("SubWireElement", tag("Identification", wire.core or str(place)), tag("WireElementSpecification", element),
            id=own)
        for place, (wire, element, own) in enumerate(zip(wires, elements, cores, strict=True), 1)
    ]  # fmt: skip
    sheath = pages.specify("WireElementSpecification", "sheath",
                           each("SubWireElementSpecification", dict.fromkeys(elements)))  # fmt: skip
    whole = tag("WireElement", tag("Identification", "sheath"), tag("WireElementSpecification", sheath), *inner,
                id=pages.names.new("we"))  # fmt: skip
    specification = pages.specify("WireSpecification", wires[0].cable, tag("WireElementSpecification", sheath), whole,
                                  part=part)  # fmt: skip
    references = [_reference(pages, wire, own, holders, signals) for wire, own in zip(wires, cores, strict=True)]
    role = tag("Role", tag("Identification", wires[0].cable), tag("WireSpecification", specification), *references,
               xsi_type="vec:WireRole", id=pages.names.new("r"))  # fmt: skip
    pages.component(wires[0].cable, role, part, wires[0].loom)


def _reference(pages: Pages, wire: Wire, element: str, holders: Holders, signals: dict[tuple[str, str], Tag]) -> Tag:
    last = max(len(wire.ends) - 1, 1)
    ends = []
    for place, end in enumerate(wire.ends):
        own = pages.names.new("end")
        ends.append(tag("WireEnd", tag("PositionOnWire", plain(round(place / last, 6))), id=own))
        holders.mount(end, own)
    signal = signals.get((wire.signal, wire.clamp))
    return tag(
        "WireElementReference",
        pages.configured(wire.options) if wire.cable else None,
        tag("Identification", wire.number or NULL),
        tag("ReferencedWireElement", element),
        tag("Signal", signal.attributes["id"]) if signal is not None else None,
        *ends,
        pages.length(wire.length_m),
        id=pages.names.new("we"),
    )
