"""The command lint: the knowledge base read whole, with every mistake in it."""

from __future__ import annotations

from diagnose.catalogue.load import load_catalogue
from diagnose.catalogue.load_rules import load_rules, rule_words
from diagnose.figures import knowledge_folder, load_figures
from diagnose.terminal.plain import Screen


def linted() -> int:
    """Exit status 0 when the knowledge can be taken as it is. Raises Mistakes when not."""
    load_figures()
    book = load_catalogue()
    rules = load_rules(knowledge_folder() / "rules", rule_words(book))
    Screen.standard().say(
        f"No mistake found: {len(book.failure_modes)} failure modes, "
        f"{len(book.observations)} observations, {len(book.readings)} readings, "
        f"{len(rules)} rules."
    )
    return 0
