"""Every word that a person reads passes here, in the language of whoever reads it."""
