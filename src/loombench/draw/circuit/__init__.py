"""Which things belong on a circuit page, and how they hang together."""
