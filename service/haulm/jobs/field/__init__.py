"""In the field: the walk, the cut, the cool store, and an evening before frost."""
