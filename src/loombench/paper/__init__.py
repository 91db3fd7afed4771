"""Documents to PDF and HTML."""
