"""Harness data that others made, in and out: wire lists, KBL and VEC, by way of one model (`exchange.harness`)."""
