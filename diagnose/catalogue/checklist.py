"""What only a look at the rig shows: questions from knowledge/checklist.yaml, where they apply."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated

from diagnose.annotations import OneOf
from diagnose.catalogue.entry_parts import Sources, When
from diagnose.catalogue.records import holds
from diagnose.catalogue.rule_records import RIG_FACTS
from diagnose.circuit.model import Model
from diagnose.design.facts import rig_facts
from diagnose.design.finding import Finding, Severity
from diagnose.documents import Section, load
from diagnose.field_types import unknown
from diagnose.figures import knowledge_folder
from diagnose.record_reader import read_list

OTHERWISE = tuple(one.value for one in Severity if one is not Severity.FINE)


@dataclass(frozen=True)
class Item:
    """One thing to look at. ask: a question whose good answer is yes; otherwise: how it stands when
    the answer is no; change: what to do then; when: rig facts that must hold for it to be asked."""

    id: str
    ask: str
    why: str
    otherwise: Annotated[Severity, OneOf(OTHERWISE)]
    change: str
    when: When
    sources: Sources

    def applies(self, facts: Mapping[str, str]) -> bool:
        return holds(self.when, facts)

    def flaws(self) -> Iterator[tuple[str, str]]:
        """Facts that no rig has."""
        for name in self.when:
            if name not in RIG_FACTS:
                yield "when", unknown("rig fact", name, RIG_FACTS)

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
    items = read_list(Item, document, "checklist")
    document.finish()
    return items


@cache
def shipped_checklist() -> tuple[Item, ...]:
    """The checklist that comes with the program, read once."""
    return read_checklist(load(knowledge_folder() / "checklist.yaml"))


def checklist_for(model: Model) -> tuple[Item, ...]:
    """What is worth asking on this rig, in the order of the file."""
    facts = rig_facts(model)
    return tuple(item for item in shipped_checklist() if item.applies(facts))
