"""Setting up, testing and starting a checkout, with the standard library alone. `start.py` is the way in."""
