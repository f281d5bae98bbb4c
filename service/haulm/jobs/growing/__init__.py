"""What grows: one batch, its forecast, its labels, what is due, and how true forecasts were."""
