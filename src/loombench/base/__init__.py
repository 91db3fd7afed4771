"""Quantities, problems and wording: what every other part stands on. Imports nothing of ours."""
