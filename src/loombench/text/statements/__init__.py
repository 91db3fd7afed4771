"""The statements of the notation, one idea a module: each takes a statement into the draft."""
