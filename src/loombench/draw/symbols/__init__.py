"""Symbols of the kinds of parts, after IEC 60617 and common practice on vehicle circuit pages, both from memory."""
