"""The nouns of the farm: frozen values with their own invariants, known to every other room."""
