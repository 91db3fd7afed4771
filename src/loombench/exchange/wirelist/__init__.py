"""Wire lists and their companions as a `exchange.harness.Harness`: what each column means, and what each row says."""
