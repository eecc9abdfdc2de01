"""The drill in the terminal: a hidden fault, on the screen and by lines; progress."""
