"""Loombench: a vehicle's wiring as a model that computes."""

__version__ = "0.1.0"
