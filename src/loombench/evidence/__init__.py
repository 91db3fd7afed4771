"""Case events: complaint, reading, undo, repair; their versioned codec."""
