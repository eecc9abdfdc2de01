"""The casebook in the terminal: lists, one case, closing it, and what all of them teach."""
