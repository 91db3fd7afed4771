"""Worked examples of handbooks, run through the formulas of `loombench.facts`."""
