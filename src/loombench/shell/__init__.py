"""Command line and pages: translate, nothing more."""
