"""A rig in the terminal: described, checked, drawn, sized, and what it should read."""
