"""The demonstration: which vehicle, which complaint, and what is hidden."""

from pathlib import Path

FILE = Path(__file__).resolve().parents[3] / "examples" / "telehandler-roof"
HIDDEN = "open S4.2~X12.3"
COMPLAINT = "E7 dead when S4=on"
