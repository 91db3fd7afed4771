"""Electrical laws of every element, lowering to a netlist, settling, meters, faults and time."""
