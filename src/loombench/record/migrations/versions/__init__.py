"""One module for each version of the store, in the order of their numbers. One that was given out is never altered."""
