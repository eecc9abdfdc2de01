"""The knowledge in the terminal: to read, to check, and how good it is."""
