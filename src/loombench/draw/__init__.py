"""Drawings of a vehicle as SVG: the circuit page, the connector face, the place map."""
