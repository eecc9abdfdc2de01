"""Everything of the program that reads what people wrote, each with sound samples of it."""

from __future__ import annotations

import random
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path

import yaml

from diagnose.bench import Bench, Shop
from diagnose.casebook.case_file import from_yaml, to_yaml
from diagnose.casebook.journal import Journal
from diagnose.casebook.journal_form import StepLine, read_journal, step_of
from diagnose.casebook.store import Casebook
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.load_rules import load_rules, rule_words
from diagnose.catalogue.plain_reader import load_plain_words
from diagnose.catalogue.records import (
    Caution,
    Complaint,
    FailureMode,
    Observation,
    Quantity,
    ReadingEntry,
    Source,
    Stop,
    Word,
)
from diagnose.catalogue.rule_proofs import load_proofs
from diagnose.circuit.meter import Circuits
from diagnose.circuit.model import Model
from diagnose.circuit.network import points_on
from diagnose.circuit.reading_words import STATES
from diagnose.circuit.rig import bundled_rigs, open_rig, read_rig
from diagnose.design.facts import rig_facts
from diagnose.documents import Section, parse
from diagnose.errors import DiagnoseError, Mistakes, Place
from diagnose.figures import knowledge_folder, load_figures
from diagnose.phrases import understand
from diagnose.phrases.records import EITHER
from diagnose.reasoning.evidence import Seen, parse_answer, parse_reading, read_answers
from diagnose.record_reader import read, read_list, read_mapping
from diagnose.terminal.json_lines import answer_of, object_of, text_of
from diagnose.terminal.prompts import choice
from diagnose.units import read_gauge, read_quantity
from diagnose.walkthrough import Walk
from tests.design.odd_lists import odd_list
from tests.tools.fuzz.spoiling import spoiled

KNOWLEDGE = knowledge_folder()
TESTS = Path(__file__).parents[2]
UNITS = ("V", "A", "ohm", "A*h", "mm^2", "degC", "psi", "gal/min", "min", "in", "")


@dataclass(frozen=True)
class Reader:
    """Takes bytes, or refuses them with a DiagnoseError. share: of all inputs, in parts; spoil: how
    a sample is spoiled; soon: processor time that one input may take [s]."""

    samples: Sequence[str]
    read: Callable[[bytes], object]
    share: int = 1
    spoil: Callable[[Sequence[str], random.Random], bytes] = spoiled
    soon: float = 1.0


def texts(folder: Path, pattern: str, most: int = 400) -> list[str]:
    paths = sorted(folder.glob(pattern))
    return [path.read_text(encoding="utf-8") for path in paths[:: len(paths) // most + 1]]


def _plain(body: bytes) -> str:
    """What a terminal or a line of JSON hands on as text."""
    return body.decode("utf-8", "replace")


@cache
def bowser() -> Bench:
    return Bench.for_rig(open_rig("bowser"), Shop.shipped())


@cache
def _scratch() -> Path:
    """A folder for files, as long as this process lives."""
    _keep.append(tempfile.TemporaryDirectory())
    return Path(_keep[-1].name)


_keep: list[tempfile.TemporaryDirectory[str]] = []


def written(name: str, body: bytes) -> Path:
    file = _scratch() / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(body)
    return file


def _document(body: bytes) -> None:
    card = parse(body, "spoiled.yaml")
    for key in card:
        card.raw(key)
    card.finish()


def _rig(body: bytes) -> None:
    """What is taken can be worked out, whatever its parts: no volts but those of its battery."""
    model = Model.of(read_rig(parse(body, "rig.yaml")))
    rig_facts(model)
    bench = Circuits(model, model.sound_batch())
    for condition in STATES:
        operation = bench.operation(condition)
        for point in points_on(model.rig):
            volts = float(operation.live.volts(point, operation.motor_current)[0])
            assert abs(volts) < 15, f"{volts} V at {point}"


def _answers(body: bytes) -> None:
    bench = bowser()
    card = parse(body, "answers.yaml")
    read_answers(card, bench.shop.catalogue, bench.rig, bench.hypotheses.facts)


def _case(body: bytes) -> None:
    """What is taken can be written and read again."""
    case = from_yaml(body, "case.yaml")
    assert from_yaml(to_yaml(case), "case.yaml") == case


def _journal(body: bytes) -> None:
    _, lines = read_journal(written("walk.jsonl", body))
    for number, entry in lines:
        if isinstance(entry, StepLine):
            step_of(bowser(), entry, Place("walk.jsonl", number))


def _figures(body: bytes) -> None:
    load_figures(written("figures/one.yaml", body).parent)


def _rules(body: bytes) -> None:
    folder, words = written("rules/one.yaml", body).parent, rule_words(shipped_catalogue())
    load_rules(folder, words)
    load_proofs(folder, KNOWLEDGE / "rigs", words)


def _read_as(read: Callable[[Section], object]) -> Callable[[bytes], None]:
    """One file of knowledge by itself."""

    def whole(body: bytes) -> None:
        card = parse(body, "knowledge.yaml")
        read(card)
        card.finish()

    return whole


def _readings(card: Section) -> None:
    read_mapping(Quantity, card.section("quantities"))
    read_list(ReadingEntry, card, "readings")


def _listed(key: str, kind: type) -> Callable[[bytes], None]:
    return _read_as(lambda card: read_list(kind, card, key))


def _named(kind: type) -> Callable[[bytes], None]:
    return _read_as(lambda card: read_mapping(kind, card))


def _words(body: bytes) -> None:
    load_plain_words(written("plain_words.yaml", body), shipped_catalogue())


def _complaint(body: bytes) -> None:
    bench = bowser()
    text = _plain(body)
    book, facts = bench.shop.catalogue, bench.hypotheses.facts
    for asked in (None, "pump-action", "voltage battery+ battery- calling"):
        found = understand(text, book, facts, bench.rig, asked)
        assert all(one.words for one in found.readings), "a reading of no words"
        taken = (one for one in found.matches if one.strength != EITHER)
        assert all(one.words for one in taken), "taken without asking, of no words"


def _quantity(body: bytes) -> None:
    text = _plain(body)
    named = (unit for unit in UNITS if unit and text.endswith(f" {unit}"))
    read_quantity(text, next(named, UNITS[len(text) % len(UNITS)]), Place("rig.yaml", 1))


def _gauge(body: bytes) -> None:
    read_gauge(_plain(body))


def _reading(body: bytes) -> None:
    bench = bowser()
    parse_reading(_plain(body), bench.shop.catalogue, bench.rig, Place("--read"))


def _seen(body: bytes) -> None:
    bench = bowser()
    parse_answer(_plain(body), bench.shop.catalogue, bench.hypotheses.facts, Place("--seen"))


def _line(body: bytes) -> None:
    """A line of the protocol, then its answer to a question that it might belong to, or what it
    says to be made safe while stops of both kinds stand."""
    record = object_of(body)
    if "made_safe" in record:
        told = Seen("fuse-holder-heat", "too-hot-to-hold"), Seen("battery-look", "swollen")
        Walk(bowser(), told).made_safe(text_of(record, "made_safe"))
        return
    answer = str(answer_of(record))
    walk = Walk(bowser())
    sign = answer[:1].isalpha()
    walk.read(walk.ask("relay-sound" if sign else "voltage fuse.in fuse.out calling"), answer)


def _choice(body: bytes) -> None:
    choice(_plain(body), tuple(shipped_catalogue().observations["pump-action"].options))


def _journal_samples() -> list[str]:
    walk = Walk(bowser())
    journal = Journal.start(Casebook.open(_scratch() / "cases"), walk, ())
    for test, answer in (
        ("relay-sound", "chatters"),
        ("voltage fuse.in fuse.out calling", "3.1"),
        ("fuse-holder-look", "corroded"),
    ):
        journal.walk.answer(walk.ask(test), answer)
    journal.walk.answer(walk.ask("fuse-holder-heat"), "too-hot-to-hold")
    journal.walk.made_safe("too-hot")
    journal.walk.pass_over(walk.ask("wire-heat"), "unknown")
    journal.walk.back()
    journal.close()
    return [path.read_text() for path in (_scratch() / "cases").rglob("*.jsonl")]


def _answer_lines() -> list[str]:
    """Proof cases as files of answers."""
    found = []
    for text in texts(TESTS.parent / "cases" / "proof", "*.yaml", 20):
        case = yaml.safe_load(text)
        found.append(yaml.safe_dump({key: case.get(key, []) for key in ("seen", "read")}))
    return [*found, "seen: {relay-sound: chatters}\nread: ['voltage lug+ lug- calling = 12.4 V']\n"]


OBSERVATIONS = _listed("observations", Observation)
COMPLAINTS = _listed("complaints", Complaint)
STOPS = _listed("stops", Stop)
STOPPED = """stops:
- {stop: too-hot, raised: 2026-03-02 09:05:00 UTC, lifted: 2026-03-02 09:40:00 UTC}
- {stop: battery-may-burst}
"""
QUANTITIES = [f"{n} {u}" for n in ("12.4", "11,8", "-3", "0", "1e3", "420") for u in (*UNITS, "mV")]
GAUGES = ["8 AWG", "AWG 8", "2/0 AWG", "6 mm^2", "6,0 mm²", "0.06 cm^2"]
LINES = [
    '{"answer": "chatters"}\n', '{"answer": 11.2, "unit": "V"}\n', '{"answer": "11.2 V"}\n',
    '{"answer": "OL", "unit": "ohm"}\n', '{"answer": "back"}\n',
    '{"answer": 7, "more": [1, {"a": null}]}\n', '{"made_safe": "too-hot"}\n',
]  # fmt: skip


@cache
def readers() -> Mapping[str, Reader]:
    """Every reader by name."""
    book = shipped_catalogue()
    readings = [f"{name} = 12.4 V" for name in book.readings]
    signs = [f"{one.id}={option}" for one in book.observations.values() for option in one.options]
    told = yaml.safe_load((TESTS / "tables" / "plain_sentences.yaml").read_text("utf-8"))
    rigs = [(KNOWLEDGE / "rigs" / f"{name}.yaml").read_text("utf-8") for name in bundled_rigs()]
    lists = [odd_list(random.Random(number)) for number in range(40)]
    cases = texts(TESTS.parent / "cases" / "garden-year", "**/*.yaml", 30)
    broken = [path.read_bytes().decode("latin-1") for path in (TESTS / "broken").iterdir()]
    modes = texts(KNOWLEDGE, "failure_modes/*/*.yaml", 30)
    entries = {
        "failure modes": Reader(modes, _read_as(partial(read, FailureMode)), 3),
        "observations": Reader(texts(KNOWLEDGE, "observations/*.yaml"), OBSERVATIONS),
        "readings": Reader(texts(KNOWLEDGE, "readings.yaml"), _read_as(_readings)),
        "words": Reader(texts(KNOWLEDGE, "words.yaml"), _named(Word)),
        "cautions": Reader(texts(KNOWLEDGE, "cautions.yaml"), _named(Caution)),
        "stops": Reader(texts(KNOWLEDGE, "stops.yaml"), STOPS),
        "sources": Reader(texts(KNOWLEDGE, "sources.yaml"), _named(Source)),
        "complaints": Reader(texts(KNOWLEDGE, "complaints.yaml"), COMPLAINTS),
    }
    return {
        "strict YAML": Reader([*rigs, *broken, *modes], _document, 4),
        "rig file": Reader(rigs, _rig, 4),
        "rig file, any parts": Reader(lists, _rig, 4),
        **{f"knowledge: {name}": entry for name, entry in entries.items()},
        "knowledge: figures": Reader(texts(KNOWLEDGE, "figures/*.yaml"), _figures),
        "knowledge: rules": Reader(texts(KNOWLEDGE, "rules/*.yaml"), _rules),
        "knowledge: plain words": Reader(texts(KNOWLEDGE, "plain_words.yaml"), _words),
        "case file": Reader([*cases, *(text + STOPPED for text in cases[:5])], _case, 4),
        "journal of a walk": Reader(_journal_samples(), _journal, 3),
        "answers file": Reader(_answer_lines(), _answers, 3),
        "quantity": Reader(QUANTITIES, _quantity, 6),
        "wire size": Reader(GAUGES, _gauge, 2),
        "--read": Reader(readings, _reading, 4),
        "--seen": Reader(signs, _seen, 2),
        "line protocol": Reader(LINES, _line, 6),
        "answer typed": Reader(["3", "slow", "hums", "cuts in and out"], _choice, 2),
        "complaint in words": Reader([one["text"] for one in told["sentences"]], _complaint, 6),
    }


def complaints(problem: DiagnoseError) -> list[str]:
    """The single sentences of an error."""
    return [str(one) for one in Mistakes([problem]).problems]
