"""What the equipment of a made-up vehicle is called."""

from types import MappingProxyType

LAMPS = MappingProxyType({
    "roof": ("ceiling lamps", "roof lamps"), "floor": ("floor lamps", "step lamps"),
    "left": ("left lamps", "shelf lamps"), "right": ("right lamps", "bench lamps"),
    "rear": ("rear lamps", "scene lamps"),
})  # fmt: skip
BEACONS = ("beacons", "warning bar", "rear warning lamps")
PUMPS = ("water pump", "circulation pump", "drain pump"), ("transfer pump", "grease pump", "spray pump", "oil pump")
MOVED = ("roof vent", "air damper", "blind"), ("awning", "tarpaulin", "mast", "lifting table", "cable reel")
VALVES = (
    ("water valve", "drain valve", "heating valve", "tank valve", "air valve", "rinsing valve"),
    ("stabiliser left", "stabiliser right", "tool lock", "ramp", "winch clutch", "float", "brush lift", "pressure line",
     "return line", "levelling"),
)  # fmt: skip
"""What a room has, and what a bay with machines has."""
WATCHED = ("tank empty", "filter blocked", "overtemperature"), ("oil pressure low", "air pressure low", "lid open")
HEATED = ("tank heater", "pipe heater", "window heater", "cabinet heater", "drip tray heater")
AIRED = ("roof fan", "extractor", "blower", "cabinet fan")
SENSORS = ("tank level", "air temperature", "water temperature"), ("oil temperature", "line pressure", "tilt")
TWELVE = ("radio", "data terminal", "position reporting", "camera", "label printer", "amplifier")
READING = ("reading lamp", "desk lamp", "map lamp", "instrument lamp")
