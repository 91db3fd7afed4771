"""A vehicle whose every word is hostile: names of parts, pins and looms, labels, colours, places, numbers of wires.

The model is altered, not a text: what the notation refuses could still come from elsewhere.
"""

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from types import MappingProxyType
from typing import Any

from loombench.vehicle.model import Control, Vehicle
from loombench.vehicle.naming import name_wires

WORDS: Mapping[str, str] = MappingProxyType({
    "script": '"><script>alert(1)</script>',
    "image": "'><img src=x onerror=alert(1)>",
    "attribute": "x' onload='alert(1)' y=\" onclick=\"alert(1)",
    "cdata": "]]><![CDATA[<script>alert(1)</script>]]>",
    "comment": "--><!-- <?xml?> <!DOCTYPE x [<!ENTITY e SYSTEM 'file:'>]> &e;",
    "escaped": "&lt;b&gt; &#60;script&#62;alert(1)&#60;/script&#62; &amp; &nbsp;",
    "long": "Wm" * 250,
    "long words": "work lamp of the boom " * 25,
    "right to left": "\u05e9\u05dc\u05d5\u05dd \u202egnp.1 \u0645\u0631\u062d\u0628\u0627",
    "emoji": "\U0001f69a\U0001f527\u26a1\ufe0f \U0001f468\u200d\U0001f527",
    "control": "a\x00b\x07c\x1bd\x7fe\x85f\ufffeg\ud800h",
    "lines": "first\nsecond\r\nthird\tfourth\u2028fifth",
    "template": "</script><script>alert(1)//${alert(1)}`{{alert(1)}}\\u003c\\",
    "style": "</style></title></desc></text></svg><script>alert(1)</script>",
    "typst": '#panic("x") $ * _ ` @ref <label> \\ [ ] // /*',
    "address": "javascript:alert(1) url(https://example.invalid/x) @import 'x'",
    "piled": "a" + "\u0301\u0323" * 60,
})  # fmt: skip
SHOWN = ("label", "note", "text", "number", "size_text", "cable", "words")


def hostile(vehicle: Vehicle, words: str) -> Vehicle:
    """The vehicle with the words in all that is shown, the ids of parts, pins, positions and places ending in them.

    A dot parts a part from its element in names of links, so ids get none.
    """
    ids = _ids(vehicle, words.replace(".", ""))
    made = _altered(vehicle, ids, words, "")
    assert isinstance(made, Vehicle)
    wires = name_wires(replace(wire, id="") for wire in made.wires)
    parts = {part.id: part for part in made.parts.values()}
    places = {place.id: place for place in made.places.values()}
    return replace(made, name=f"{vehicle.name} {words}", wires=wires, parts=parts, places=places)


def _ids(vehicle: Vehicle, words: str) -> dict[str, str]:
    ids = {name: f"{name}{words}" for name in vehicle.parts}
    ids |= {control.id: _control(control, ids) for control in vehicle.controls.values()}
    ids |= {pin: f"{pin}{words}" for part in vehicle.parts.values() for pin in part.pins if pin}
    ids |= {name: f"{name}{words}" for name in (*vehicle.places, *vehicle.looms) if name}
    return ids


def _control(control: Control, ids: Mapping[str, str]) -> str:
    return ids[control.part] + control.id.removeprefix(control.part)


def _altered(value: Any, ids: Mapping[str, str], words: str, name: str) -> Any:
    if isinstance(value, str):
        if name in SHOWN and value:
            return f"{value} {words}" if name != "words" else value
        return value if name in ("kind", "by", "colours", "unit") else ids.get(value, value)
    if is_dataclass(value) and not isinstance(value, type):
        changes = {one.name: _altered(getattr(value, one.name), ids, words, one.name) for one in fields(value)}
        return replace(value, **changes)
    if isinstance(value, tuple):
        return tuple(_altered(one, ids, words, name) for one in value)
    if isinstance(value, Mapping):
        return MappingProxyType({ids.get(key, key): _altered(one, ids, words, name) for key, one in value.items()})
    return value
