"""What couples see of their order, and what they answer."""
