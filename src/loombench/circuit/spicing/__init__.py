"""A netlist in the words of a circuit simulator, piece by piece; `loombench.circuit.spice` puts them together."""
