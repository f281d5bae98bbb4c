"""One pass down the strict order, in all seasons at once: the only code that is compiled."""
