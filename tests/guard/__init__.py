"""Guards over the source tree. Each has a planted fault that it must catch, and refuses a tree with nothing in it."""
