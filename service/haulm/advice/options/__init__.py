"""Options: what can still close a gap, each kind in a file of its own."""
