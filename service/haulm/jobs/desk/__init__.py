"""What every use case stands at: the desk, the words and checks they share, and how a promise is judged."""
