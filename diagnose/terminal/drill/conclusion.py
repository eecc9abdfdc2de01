"""The conclusion of a drill: cause, cause behind it, repair and proof, asked one by one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from diagnose.circuit.meter import Reading
from diagnose.drill.choices import Conclusion, Form, causes_of, form, verification
from diagnose.drill.session import Session
from diagnose.reasoning.explanation import title
from diagnose.terminal.drill import views as views
from diagnose.terminal.paging import pages
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, menu_number

T = TypeVar("T")


def conclusion(talk: Talk, session: Session) -> Conclusion | None:
    """What the trainee concludes; None to go back to the rig."""
    causes = _causes(talk, session)
    if causes is None:
        return None
    named = Conclusion(causes)
    asking = _Asking(talk, session, form(session.scenario, causes))
    for step in (asking.root_cause, asking.fix, asking.verify):
        after = step(named)
        if after is None:
            return None
        named = after
    return named


def _causes(talk: Talk, session: Session) -> tuple[str, ...] | None:
    scenario = session.scenario

    def explain() -> None:
        talk.screen.say(
            "Name the failure mode by its id, by words of its title, or by how it begins; two at "
            "once with and between. list shows those of this rig, list GROUP those of one group. "
            "back returns to the rig."
        )

    def listed(about: str) -> None:
        pages(talk, views.modes_view(talk.screen, scenario, about))

    talk.screen.say("What is wrong with it?", "bold")
    prompt = Prompt(
        "failure mode, list, or ?",
        lambda typed: causes_of(typed, scenario),
        explain,
        explain,
        words={"list": listed},
    )
    answer = ask(talk, prompt)
    if isinstance(answer, Word):
        return None
    talk.screen.show(*views.named_view(scenario, answer))
    return answer


@dataclass(frozen=True)
class _Asking:
    """The questions that follow from the cause that was named."""

    talk: Talk
    session: Session
    form: Form

    def root_cause(self, named: Conclusion) -> Conclusion | None:
        said = [one.say for one in self.form.root_causes]
        asked = self._asked("Why did it come about?", "why did that come about?")
        chosen = self._choose(asked, said, self.form.root_causes)
        return _with(chosen, lambda one: replace(named, root_cause=one), named)

    def fix(self, named: Conclusion) -> Conclusion | None:
        said = [one.say for one in self.form.fixes]
        asked = self._asked("What do you do?", "what do you do about that?")
        chosen = self._choose(asked, said, self.form.fixes)
        return _with(chosen, lambda one: replace(named, fix=one), named)

    def _asked(self, alone: str, of_two: str) -> str:
        """A question; where two causes were named, of the first."""
        causes, book = self.form.causes, self.session.scenario.bench.shop.catalogue
        return alone if len(causes) == 1 else f"{title(book, causes[0])}: {of_two}"

    def verify(self, named: Conclusion) -> Conclusion | None:
        self.talk.screen.say("Which reading proves that it is mended?", "bold")
        prompt: Prompt[Reading] = Prompt(
            "reading, such as volts 30 87 asked to run",
            lambda typed: verification(self.session, typed),
            self._explain_reading,
            self._explain_reading,
        )
        chosen = ask(self.talk, prompt)
        return _with(chosen, lambda one: replace(named, verify=one), named)

    def _explain_reading(self) -> None:
        self.talk.screen.say(
            "A reading that is wrong now and will be right after the repair. It is only named, not "
            "taken. unknown if you cannot say; back returns to the rig."
        )

    def _choose(self, asked: str, said: Sequence[str], items: Sequence[T]) -> T | Word:
        self.talk.screen.say(asked, "bold")
        self.talk.screen.show(views.numbered(said))

        def explain() -> None:
            self.talk.screen.say("One number. unknown if you cannot say; back returns to the rig.")

        return ask(
            self.talk,
            Prompt(f"1 to {len(items)}", lambda typed: _one(typed, items), explain, explain),
        )


def _one(typed: str, items: Sequence[T]) -> T:
    return items[menu_number(typed, len(items), f"Type a number from 1 to {len(items)}.") - 1]


def _with(
    chosen: T | Word, changed: Callable[[T], Conclusion], named: Conclusion
) -> Conclusion | None:
    """The conclusion with what was chosen; as it was when that is not known; None for back."""
    if not isinstance(chosen, Word):
        return changed(chosen)
    return named if chosen in (Word.UNKNOWN, Word.SKIP) else None
