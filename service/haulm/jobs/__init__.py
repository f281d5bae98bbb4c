"""Use cases, one file each: read the farm, ask the pure rooms, write what changed, return a frozen result."""
