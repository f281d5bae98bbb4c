"""Bucket day: the list as it is expected and settled, its letters, and what comes after it."""
