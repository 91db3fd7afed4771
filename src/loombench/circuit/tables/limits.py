"""From where on what a table says of the network is sure."""

ADMITTED_V = 1e-8
"""An element whose own law differs from its tangent by less than moves a node by this is left on its tangent."""
ROUNDING = 1e-15
"""The share of each number that roundings on the way to it leave unsure."""
GREATEST_NOISE_V = 1e-5
"""The most that roundings may move an answer: where an opened element carried nearly nothing but its own response, or a
short reaches a wire that hung on the leak of a diode, what is left of large numbers is small."""
FARTHEST_V = 1e12
"""Laws are asked no farther: by then all that matters is that the element has to be a port."""
MOST_PORTS = 40
"""The most ports that a system may have."""
STRONG = 0.03
"""An element whose slope now differs from its tangent's by more than this share of what the network shows there becomes
a port: by drawing what it is off beside the ports, each round would bring it less than some thirty times nearer."""
NOTHING_V = 1e-10
"""What moves its own node by less is not drawn beside the ports."""
ROUNDS = 12
PATIENCE = 1
"""Rounds in which what is weak is drawn beside the ports; by then it is right, or has to be one. (Of 250 rows with a
relay moved, one at a time took 1.5 ms without such a round, 1.6 with one and 1.9 with five; all at once 1.57, 0.37 and
0.40.)"""
