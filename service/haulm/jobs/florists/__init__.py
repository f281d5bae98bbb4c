"""What florists see, answer and are told."""
