"""The notation: text to a vehicle and back. `docs/notation.md` is its page."""
