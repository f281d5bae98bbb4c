"""What plants do: daylight, warmth, frost, germination, time to flower, harvest curves. Pure functions of arrays."""
