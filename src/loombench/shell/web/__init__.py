"""The bench in a browser: requests become questions to workers, answers become pages. Nothing is decided here."""
