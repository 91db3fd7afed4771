"""Loops over bare arrays, one thing after the other: numba compiles them where it is installed."""
