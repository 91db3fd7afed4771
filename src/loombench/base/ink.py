"""The colours of everything that is not a wire: one ink on paper, one grey for what is secondary, one for lines.

The grey is at least 7:1 against the paper, so that a poor copy keeps it.
"""

INK = "#111111"
QUIET = "#4f4f4f"
LINE = "#a8a8a8"
PAPER = "#ffffff"
