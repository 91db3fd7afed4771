"""Lowering: what each part, wire and contact becomes in the netlist, one idea a module."""
