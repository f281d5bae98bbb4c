"""Places of the world by name, how far each lies from the sea, and how high the land about it is."""
