"""What only a look at the rig shows: questions from knowledge/checklist.yaml, where they apply."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from diagnose.catalogue.entry_parts import when
from diagnose.catalogue.rule_records import RIG_FACTS
from diagnose.circuit.model import Model
from diagnose.design.facts import rig_facts
from diagnose.design.finding import Finding, Severity
from diagnose.documents import Section, load
from diagnose.errors import UnknownName, nearest
from diagnose.figures import knowledge_folder

OTHERWISE = tuple(one.value for one in Severity if one is not Severity.FINE)


@dataclass(frozen=True)
class Item:
    """One thing to look at. ask: a question whose good answer is yes; otherwise: how it stands when
    the answer is no; change: what to do then; when: rig facts that must hold for it to be asked."""

    id: str
    ask: str
    why: str
    otherwise: Severity
    change: str
    when: Mapping[str, tuple[str, ...]]
    sources: tuple[str, ...]

    def applies(self, facts: Mapping[str, str]) -> bool:
        return all(facts.get(name) in values for name, values in self.when.items())

    def missed(self) -> Finding:
        """The finding when the answer is no."""
        return Finding(
            self.id,
            self.otherwise,
            self.why,
            "not so",
            self.ask.rstrip("?"),
            self.sources[0],
            self.change,
        )


def read_checklist(document: Section) -> tuple[Item, ...]:
    """The items of an opened checklist. Raises Mistakes with every problem of the file."""
    items = tuple(map(_item, document.sections("checklist")))
    document.finish()
    return items


def _item(entry: Section) -> Item:
    facts = when(entry, "when")
    for name in facts:
        if name not in RIG_FACTS:
            near = nearest(name, RIG_FACTS)
            entry.problem(UnknownName("rig fact", name, entry.place_of("when"), near, RIG_FACTS))
    return Item(
        id=entry.text("id"),
        ask=entry.text("ask"),
        why=entry.text("why"),
        otherwise=Severity(entry.choice("otherwise", OTHERWISE)),
        change=entry.text("change"),
        when=facts,
        sources=entry.texts("sources"),
    )


@cache
def shipped_checklist() -> tuple[Item, ...]:
    """The checklist that comes with the program, read once."""
    return read_checklist(load(knowledge_folder() / "checklist.yaml"))


def checklist_for(model: Model) -> tuple[Item, ...]:
    """What is worth asking on this rig, in the order of the file."""
    facts = rig_facts(model)
    return tuple(item for item in shipped_checklist() if item.applies(facts))
