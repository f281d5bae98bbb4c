"""What the farm says of itself: rows changed and taken back, folders brought in, and cut stems booked."""
