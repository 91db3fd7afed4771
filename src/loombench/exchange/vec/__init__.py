"""VEC (VDA 4968) in: harness and circuit data of versions 1.1.3 to 2.2 as an `exchange.harness.Harness`."""
