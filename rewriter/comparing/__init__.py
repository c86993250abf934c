"""The musical comparison of two scores: bar by bar, thing by thing, however saved."""
