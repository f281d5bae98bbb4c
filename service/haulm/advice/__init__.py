"""Advice: what is short, for whom, how sure, and what can still be done by when."""
