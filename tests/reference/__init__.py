"""Checks against published figures."""
