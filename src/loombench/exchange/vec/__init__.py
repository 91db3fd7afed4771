"""VEC (VDA 4968), read (versions 1.1.3 to 2.2) and written (1.1.3)."""
