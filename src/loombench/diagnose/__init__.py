"""Fault catalogue, belief, steps with cost, and the choice of the next one."""
