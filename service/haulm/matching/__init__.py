"""Matching: who gets which stems, and what is still free to promise; exact, and the same on every machine."""
