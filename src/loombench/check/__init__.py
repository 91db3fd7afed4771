"""Rules over a vehicle: structure and first electrical rules."""
