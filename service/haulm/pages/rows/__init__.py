"""Pages of the farm's own rows: what the folder can say, as lists and forms in the grower's words."""
