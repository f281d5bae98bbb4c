"""What a farm has written down, read as evidence: records, past years, and what they leave in doubt."""
