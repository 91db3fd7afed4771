"""KBL (VDA 4964), read and written."""
