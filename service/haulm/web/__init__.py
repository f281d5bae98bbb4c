"""What every door shares: problems, who is asking, which hosts and origins are known, idempotency."""
