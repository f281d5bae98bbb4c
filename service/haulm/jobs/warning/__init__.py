"""What is said in time: Today, the early warning, the calendar, and what is done at its hour."""
