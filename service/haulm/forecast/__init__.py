"""The forecast: a few thousand equally plausible seasons, each with its ready stems by day and product. Pure."""
