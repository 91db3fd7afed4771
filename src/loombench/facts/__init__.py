"""Tables with their sources, and pure handbook formulas."""
