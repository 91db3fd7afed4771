"""From a circuit to a page: what stands on it, where it stands, how the wires run, where their labels go."""
