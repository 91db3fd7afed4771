"""Drawn pages, and what is held against them."""
