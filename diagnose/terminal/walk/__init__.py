"""A walk in the terminal: from the complaint to the closed case, on the screen and by lines."""
