"""From evidence to a ranking, the next test and its reasons."""
