"""Loombench: a vehicle's wiring as a model that computes."""
