"""The farm folder: a farm as CSV files and one farm.toml, read, checked whole, and written in one canonical way."""
