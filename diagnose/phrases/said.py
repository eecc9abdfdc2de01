"""What is said in a text, and of which thing."""

from __future__ import annotations

from dataclasses import dataclass, field

from diagnose.catalogue.plain_vocabulary import Term


@dataclass(frozen=True)
class Said:
    """A group of words as it was said or denied, with the tokens that say so.

    sure: named in the clause and spelt right; guessed: a guess, hearsay, or of something that may
    be another; tried: said while something was tried; when: PAST or PRESENT where a word says so.
    """

    term: Term
    used: frozenset[int]
    sure: bool
    guessed: bool = False
    tried: bool = False
    when: str = ""


@dataclass(eq=False)
class Mention:
    """One thing spoken of, and what is said of it; `used` is empty for a thing not named; means:
    the things that its name can mean."""

    thing: str
    means: tuple[str, ...]
    used: frozenset[int] = frozenset()
    sure: bool = True
    said: dict[Term, Said] = field(default_factory=dict)

    def take(self, said: Said) -> None:
        """Add something said; the same said twice is one thing, as sure as the surer."""
        known = self.said.get(said.term, said)
        self.said[said.term] = Said(
            said.term,
            known.used | said.used,
            known.sure or said.sure,
            known.guessed and said.guessed,
            known.tried and said.tried,
            said.when or known.when,
        )
