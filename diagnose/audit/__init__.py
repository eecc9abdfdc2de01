"""The book as a whole against its own predictions and against practice."""
