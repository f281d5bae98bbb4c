"""Demand: what every order and standing order asks, as dated lines in one strict order."""
