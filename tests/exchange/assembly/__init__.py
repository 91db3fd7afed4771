"""Counting, joining, asking and putting together."""
