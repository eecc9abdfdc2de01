"""The terminal: the only home of typer and rich. It translates; everything below it decides."""
