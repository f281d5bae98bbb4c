"""A quote as a value: what is asked, answered, written down, said of it, and why a promise of it is refused."""
