"""Port tables: what many faults do to one solution, without solving the network anew for each."""
