"""Which cautions have been given: each the moment it starts to hold, and once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagnose.catalogue.records import Caution
from diagnose.reasoning.rules.conclusions import Conclusions
from diagnose.walkthrough import Question

LOCAL_CODES = "Local codes and licensed practice go before anything that is said here."


@dataclass(frozen=True)
class Alert:
    """One caution to give. because: what raised it, "" when it belongs to a step; text: "" when it
    has been given in full before."""

    id: str
    because: str
    text: str

    @property
    def sentence(self) -> str:
        return " ".join(part for part in (self.because, self.text) if part)


@dataclass
class Given:
    """The cautions of the book, and those already given in this walk."""

    book: Mapping[str, Caution]
    _rules: set[str] = field(default_factory=set)
    _texts: set[str] = field(default_factory=set)

    def raised(self, conclusions: Conclusions) -> tuple[Alert, ...]:
        """Those that the rules raise now and did not raise before."""
        new = [one for one in conclusions.cautions if one.rule.id not in self._rules]
        self._rules = {one.rule.id for one in conclusions.cautions}
        raised = ((one.then.caution, one.because) for one in new)
        return tuple(Alert(name, _line(because), self._text(name)) for name, because in raised)

    def of_step(self, question: Question) -> tuple[Alert, ...]:
        """Those that belong to a question, without the ones given before."""
        new = [name for name in question.entry.cautions if name not in self._texts]
        return tuple(Alert(name, "", self._text(name)) for name in new)

    def of_the_book(self, name: str) -> Alert:
        """A caution for everything that follows."""
        return Alert(name, "", self._text(name))

    def before(self, question: Question) -> tuple[str, ...]:
        """Ids of a question's cautions that were given at an earlier one."""
        return tuple(name for name in question.entry.cautions if name in self._texts)

    def _text(self, name: str) -> str:
        """The text of a caution at its first use, later ""."""
        if name in self._texts:
            return ""
        self._texts.add(name)
        return _line(self.book[name].text)


def _line(text: str) -> str:
    return " ".join(text.split())
