"""The store: the farm, its entries and its two books in SQLite or PostgreSQL."""
