"""What a match says: how sure, what is left, which stems, and why something is short."""
