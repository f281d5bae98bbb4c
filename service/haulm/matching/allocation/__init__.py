"""Who may take what, and who gets it: the match, whole or after a change."""
