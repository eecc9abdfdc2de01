"""From evidence to a ranking, the next test and its reasons."""

OTHER = "not-in-the-book"
"""The name of the hypothesis that it is nothing which the book knows."""
