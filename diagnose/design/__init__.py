"""Building a rig right: sizes, checks of its design, a new rig file, and its drawing."""
