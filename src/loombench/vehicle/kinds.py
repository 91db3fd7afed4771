"""The part kinds: which pins a kind has, which numbers it takes, and which way a wire passes through it.

One row a kind. A number is told by its unit (`lamp E7 12V 55W`), so the notation needs no names for numbers. What a
row does not say of a number that is missing or `?` stands in `facts` as a typical range.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType


@dataclass(frozen=True)
class KindSpec:
    """One kind of part.

    `pins` are its fixed pins; empty where they are declared or come with a form. `numbers` maps a unit to the name of
    the number it gives. `through` is the pin a wire enters and the one it leaves by when it passes through; empty for
    kinds that are not passed. `polarised` kinds want the way written (`D1.a>k`). `words` are the plain words allowed.
    `inner` is the element inside, empty for kinds with none or declared ones.
    """

    kind: str
    pins: tuple[str, ...] = ()
    numbers: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    through: tuple[str, str] | tuple[()] = ()
    polarised: bool = False
    words: tuple[str, ...] = ()
    inner: str = ""


def _kind(
    kind: str,
    pins: str = "",
    numbers: str = "",
    through: str = "",
    words: str = "",
    polarised: bool = False,
    inner: str | None = None,
) -> KindSpec:
    pairs = dict(item.split(":") for item in numbers.split())
    way = tuple(through.split())
    return KindSpec(
        kind,
        tuple(pins.split()),
        MappingProxyType(pairs),
        (way[0], way[1]) if way else (),
        polarised,
        tuple(words.split()),
        kind if inner is None else inner,
    )


TWO = "1 2"
_ROWS = (
    _kind("battery", "+ -", "V:rated_v Ah:capacity_ah ohm:internal_ohm", polarised=True),
    _kind("alternator", "B+ - D+", "V:set_v A:limit_a", polarised=True),
    _kind("fuselink", "in out", "A:rated_a V:rated_v", "in out"),
    _kind("fuse", "in out", "A:rated_a V:rated_v", "in out"),
    _kind("breaker", "in out", "A:rated_a V:rated_v s:closes_s", "in out", "cycling stays-open manual"),
    _kind("carrier", inner=""),
    _kind("relay", "", "V:rated_v ohm:coil_ohm A:rated_a", words="make break changeover diode resistor", inner="relay"),
    _kind("switch", inner=""),
    _kind("connector", "", "way:ways", inner=""),
    _kind("splice", inner=""),
    _kind("body", inner=""),
    _kind("stud", inner=""),
    _kind("strap", "a b", "m:length_m mm2:area_mm2 AWG:gauge_awg", inner="conductor"),
    _kind("lamp", TWO, "V:rated_v W:rated_w", TWO),
    _kind("led", "+ -", "V:rated_v W:rated_w A:rated_a", "+ -", polarised=True),
    _kind("motor", "+ -", "V:rated_v A:rated_a W:rated_w", "+ -", "reversing slow fast"),
    _kind("heater", TWO, "V:rated_v W:rated_w A:rated_a ohm:resistance_ohm", TWO),
    _kind("solenoid", TWO, "V:rated_v W:rated_w A:rated_a ohm:resistance_ohm", TWO),
    _kind("horn", TWO, "V:rated_v A:rated_a W:rated_w", TWO),
    _kind("resistor", TWO, "ohm:resistance_ohm W:rated_w", TWO),
    _kind("diode", "a k", "A:rated_a V:forward_v", "a k", polarised=True),
    _kind("cutout", TWO, "C:opens_c A:rated_a", TWO),
    _kind("converter", "in gnd out", "V:output_v A:limit_a", polarised=True),
    _kind("sensor", "", "ohm:resistance_ohm %:signal_share", "", "2wire 3wire"),
    _kind("unit", inner=""),
    _kind("flasher", "", "/min:rate_per_min A:quick_below_a", "", "quick below"),
    _kind("timer", "15 31 87", "s:time_s", "", "on-delay off-delay interval"),
    _kind("module", inner=""),
    _kind("cable", "", "", "", "twisted shield", inner=""),
    _kind("terminator", TWO, "ohm:resistance_ohm", TWO),
    _kind("bus-node", "H L", "ohm:resistance_ohm", "H L"),
    _kind("socket", inner=""),
    _kind("plug", inner=""),
    _kind("generic", "", "ohm:resistance_ohm V:rated_v A:rated_a W:rated_w"),
)

KINDS: Mapping[str, KindSpec] = MappingProxyType({row.kind: row for row in _ROWS})

NET_CLASSES = (
    "power", "ground", "sensor-supply", "module-output", "pwm", "bus", "interlock", "safety", "pyro", "hv", "mains",
)  # fmt: skip
"""Classes a net can be of; what may be done to a net hangs on them. The strictest one of a net counts."""
