"""The tables, known to the store alone; everybody else speaks in nouns."""
