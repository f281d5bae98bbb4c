"""Haulm's command-line client: it speaks to a running service over REST and knows nothing of its insides."""
