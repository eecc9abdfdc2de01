"""Which cautions a walk gives when: those of rules, those of a question; each in full once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagnose.catalogue.records import Caution
from diagnose.errors import one_line
from diagnose.reasoning.rules.conclusions import Conclusions
from diagnose.steps import Question

LOCAL_CODES = "Local codes and licensed practice go before anything that is said here."

SAFETY = (
    "Switch off before you touch or move a wire; no rings; eyes covered at a battery.",
    LOCAL_CODES,
)
"""What stands before every walk."""


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
class Cautions:
    """The cautions of the book, and those already given in this walk."""

    book: Mapping[str, Caution]
    _rules: set[str] = field(default_factory=set)
    _texts: set[str] = field(default_factory=set)

    def raised(self, conclusions: Conclusions) -> tuple[Alert, ...]:
        """Those that the rules raise now and did not raise before."""
        new = [one for one in conclusions.cautions if one.rule.id not in self._rules]
        self._rules = {one.rule.id for one in conclusions.cautions}
        return tuple(self.first(one.then.caution, one_line(one.because)) for one in new)

    def of_step(self, question: Question) -> tuple[Alert, ...]:
        """Those that belong to a question, without the ones given before."""
        new = [name for name in question.entry.cautions if name not in self._texts]
        return tuple(map(self.first, new))

    def before(self, question: Question) -> tuple[str, ...]:
        """Ids of a question's cautions that were given at an earlier one."""
        return tuple(name for name in question.entry.cautions if name in self._texts)

    def first(self, name: str, because: str = "") -> Alert:
        """A caution to give now, its text at its first use only."""
        text = "" if name in self._texts else one_line(self.book[name].text)
        self._texts.add(name)
        return Alert(name, because, text)

    def copied(self) -> Cautions:
        """The same, to go on with along one of several ways."""
        return Cautions(self.book, {*self._rules}, {*self._texts})
