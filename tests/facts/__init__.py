"""Tests of the tables and formulas."""
