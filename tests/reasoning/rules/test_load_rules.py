"""Each mistake in a rule file is refused with its place; the smallest file that trips each one."""

from pathlib import Path

import pytest

from diagnose.catalogue.load_rules import RuleWords, load_rules
from diagnose.catalogue.rule_records import (
    Condition,
    RuleRecord,
    ThenBlock,
    ThenCaution,
    ThenFinding,
    ThenRootCause,
    ThenStop,
)
from diagnose.errors import Mistakes

OHMS = "resistance fuse.out ground"
WORDS = RuleWords(
    observations={"smell": ("none", "burnt"), "smoke": ("none", "seen")},
    rig={"topology": ("direct", "relay")},
    readings=("voltage motor+ motor- calling", OHMS),
    failure_modes=("main-fuse-blown", "fuse-holder-loose"),
    cautions=("hot-part",),
    sources=("common-practice",),
    stops=("too-hot", "smoked"),
)

GOOD = """\
rules:
  - id: R001
    title: a burnt smell
    when:
      - {seen: smell, is: [burnt]}
    unless:
      - {seen: smoke, is: [seen]}
    then: {finding: something-burnt}
    because: "It smells."
    sources: [common-practice]
"""

WHEN = "- {seen: smell, is: [burnt]}"
UNLESS = "- {seen: smoke, is: [seen]}"
THEN = "then: {finding: something-burnt}"
BLOCK = 'then: {block: {tests: ["resistance *"]}}'
CAUSE = "cause: c, mend: m, prevention: p"


def said(**keys: str) -> str:
    """The consequence of GOOD, with what it says."""
    more = "".join(f', {key}: "{text}"' for key, text in keys.items())
    return f"then: {{finding: something-burnt{more}}}"


MISTAKES = {
    "observation": (
        WHEN,
        "- {seen: smel, is: [burnt]}",
        "line 5",
        "observation called 'smel'",
        "'smell'",
    ),
    "answer": (
        WHEN,
        "- {seen: smell, is: [brunt]}",
        "line 5",
        "value of smell called 'brunt'",
        "'burnt'",
    ),
    "reading": (
        WHEN,
        "- {reading: voltage motor+ calling, is: [low]}",
        "line 5",
        "no reading called",
    ),
    "verdict": (
        WHEN,
        "- {reading: voltage motor+ motor- calling, is: [over]}",
        "line 5",
        "value of voltage motor+ motor- calling called 'over'",
    ),
    "rig fact": (
        WHEN,
        "- {rig: topologie, is: [relay]}",
        "line 5",
        "rig fact called",
        "'topology'",
    ),
    "rig value": (WHEN, "- {rig: topology, is: [relais]}", "line 5", "value of topology"),
    "failure mode": (WHEN, "- {suspect: main-fuse-blow}", "line 5", "failure mode called"),
    "strength": (WHEN, "- {suspect: main-fuse-blown, is: [sure]}", "line 5", "'sure'"),
    "finding": (
        WHEN,
        f"{WHEN}\n      - {{finding: nothing-gives-it}}",
        "finding called 'nothing-gives-it'",
    ),
    "finding with a value": (
        WHEN,
        f"{WHEN}\n      - {{finding: something-burnt, is: [yes-it-is]}}",
        "line 6",
        "leave out",
    ),
    "unless a finding": (UNLESS, "- {finding: something-burnt}", "line 7", "order of the rules"),
    "unless a suspect": (UNLESS, "- {suspect: main-fuse-blown}", "line 7", "suspect under unless"),
    "unless a misspelt answer": (UNLESS, "- {seen: smoke, is: [sen]}", "line 7", "'seen'"),
    "a finding on unless alone": (f"    when:\n      {WHEN}\n", "", "R001", "only a block"),
    "no condition": (
        f"    when:\n      {WHEN}\n    unless:\n      {UNLESS}\n    {THEN}",
        f"    {BLOCK}",
        "R001",
        "when must say what is there",
    ),
    "not in when": (WHEN, "- {not-seen: smell}", "line 5", "exactly one of", "not-seen"),
    "two kinds in one": (
        WHEN,
        "- {seen: smell, rig: topology, is: [burnt]}",
        "exactly one of",
        "seen, rig",
    ),
    "unknown kind": (WHEN, "- {saw: smell}", "line 5", "exactly one of", "saw"),
    "two consequences": (
        THEN,
        "then: {finding: a, caution: {id: hot-part}}",
        "line 8",
        "exactly one of",
        "finding, caution",
    ),
    "unknown consequence": (THEN, "then: {finds: a}", "line 8", "exactly one of", "finds"),
    "block of nothing": (
        THEN,
        'then: {block: {tests: ["ohms *"]}}',
        "line 8",
        "test called 'ohms *'",
    ),
    "caution": (THEN, "then: {caution: {id: hot-parts}}", "line 8", "caution called", "'hot-part'"),
    "caution that stops": (
        THEN,
        "then: {caution: {id: hot-part, stop: true}}",
        "line 8",
        "key called 'stop'",
    ),
    "stop": (THEN, "then: {stop: to-hot}", "line 8", "stop called 'to-hot'", "'too-hot'"),
    "stop without a name": (THEN, "then: {stop: {id: too-hot}}", "line 8"),
    "stop raised by a finding": (
        f"    unless:\n      {UNLESS}\n    {THEN}",
        "      - {finding: something-burnt}\n    then: {stop: too-hot}",
        "R001",
        "a stop is raised by what was seen, read or suspected, not by a finding",
    ),
    "reject unseen": (
        THEN,
        "then: {reject: {observation: smoke}}",
        "R001",
        "only reject an answer it looks at",
    ),
    "reject nothing": (THEN, "then: {reject: {}}", "line 8", "exactly one of observation, reading"),
    "root cause of no suspect": (
        THEN,
        f"then: {{root-cause: {{of: main-fuse-blown, {CAUSE}}}}}",
        "R001",
        "needs the condition suspect: main-fuse-blown",
    ),
    "root cause without a mend": (
        THEN,
        "then: {root-cause: {of: main-fuse-blown, cause: c, prevention: p}}",
        "mend",
        "missing",
    ),
    "unknown measure": (
        THEN,
        f"then: {{root-cause: {{of: main-fuse-blown, {CAUSE}, measure: ohms}}}}",
        "line 8",
        "reading called 'ohms'",
    ),
    "says without its part": (THEN, said(says="It burns."), "R001", "says and part go together"),
    "part without what it says": (THEN, said(part="feed"), "R001", "says and part go together"),
    "part": (THEN, said(part="fed", says="It burns."), "line 8", "'feed'"),
    "says what is not asked for": (
        THEN,
        said(part="feed", says="{voltage motor+ motor- calling} are lost."),
        "R001",
        "says names voltage motor+ motor- calling, which is not among its conditions",
    ),
    "says what must not be there": (
        f"{UNLESS}\n    {THEN}",
        f"- {{reading: {OHMS}, is: [low]}}\n    "
        + said(part="feed", says=f"{{{OHMS}}} is too much."),
        "R001",
        f"says names {OHMS}, which is not among its conditions",
    ),
    "odd brace": (THEN, said(part="feed", says="{ 1 V are lost."), "R001", "a brace too many"),
    "difference of three": (
        THEN,
        said(part="feed", says="{a less b less c}."),
        "R001",
        "{A less B}",
    ),
    "any reading": (WHEN, '- {reading: "voltage *", is: [low]}', "line 5", "'voltage *'"),
    "id": ("id: R001", "id: smell-1", "R and three digits"),
    "source": ("[common-practice]", "[hearsay]", "line 10", "source called 'hearsay'"),
    "key": ("because:", "reason:", "line 9", "key called 'reason'", "missing"),
    "repeated id": ("rules:\n", "rules:\n" + GOOD.removeprefix("rules:\n"), "already", "R001"),
}


def load(tmp_path: Path, text: str) -> tuple[RuleRecord, ...]:
    (tmp_path / "supply.yaml").write_text(text, encoding="utf-8")
    return load_rules(tmp_path, WORDS)


def test_good_rule_is_read(tmp_path: Path) -> None:
    (rule,) = load(tmp_path, GOOD)

    assert rule.when == (Condition("seen", "smell", ("burnt",)),)
    assert rule.unless == (Condition("seen", "smoke", ("seen",)),)
    assert (rule.id, rule.finding, rule.because) == ("R001", "something-burnt", "It smells.")
    assert rule.place.line == 2


def test_a_finding_says_its_figures(tmp_path: Path) -> None:
    volts = "voltage motor+ motor- calling"
    when = f"{WHEN}\n      - {{reading: {volts}, is: [low]}}\n      - {{reading: {OHMS}}}"
    says = f"{{{volts}}} of {{{volts} less {OHMS}}} are lost."
    text = GOOD.replace(WHEN, when).replace(THEN, said(part="feed", says=says))

    then = load(tmp_path, text)[0].then

    assert isinstance(then, ThenFinding)
    assert (then.name, then.part) == ("something-burnt", "feed")
    assert then.figures == ((volts,), (volts, OHMS))
    assert then.said(["1 V", "2 V"]) == "1 V of 2 V are lost."


def test_a_block_may_rest_on_unless_alone(tmp_path: Path) -> None:
    text = GOOD.replace(f"    when:\n      {WHEN}\n", "").replace(THEN, BLOCK)

    (rule,) = load(tmp_path, text)

    assert rule.when == ()
    assert rule.unless == (Condition("seen", "smoke", ("seen",)),)


@pytest.mark.parametrize(
    ("then", "expected"),
    [
        ('{block: {tests: ["resistance *"]}}', ThenBlock(("resistance *",))),
        ("{caution: {id: hot-part}}", ThenCaution("hot-part")),
        ("{stop: too-hot}", ThenStop("too-hot")),
        (
            f"{{root-cause: {{of: main-fuse-blown, {CAUSE}, measure: {OHMS}}}}}",
            ThenRootCause("main-fuse-blown", "c", "m", "p", OHMS),
        ),
    ],
)
def test_each_consequence_is_read(tmp_path: Path, then: str, expected: object) -> None:
    text = GOOD.replace(THEN, f"then: {then}").replace(
        WHEN, f"{WHEN}\n      - {{suspect: main-fuse-blown}}"
    )

    assert load(tmp_path, text)[0].then == expected


@pytest.mark.parametrize("mistake", MISTAKES)
def test_mistake_is_refused_with_its_place(tmp_path: Path, mistake: str) -> None:
    old, new, *said = MISTAKES[mistake]
    assert old in GOOD

    with pytest.raises(Mistakes) as caught:
        load(tmp_path, GOOD.replace(old, new, 1))

    message = str(caught.value)
    assert "supply.yaml" in message
    missing = [words for words in said if words not in message]
    assert not missing, message


def test_all_mistakes_of_all_files_come_at_once(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(GOOD.replace("smell, is", "smel, is"), encoding="utf-8")
    (tmp_path / "b.yaml").write_text(
        GOOD.replace("hearsay", "x").replace("R001", "1"), encoding="utf-8"
    )
    (tmp_path / "c.yaml").write_text("rules: [", encoding="utf-8")

    with pytest.raises(Mistakes) as caught:
        load_rules(tmp_path, WORDS)

    files = {
        problem.place.file.rsplit("/", 1)[-1] for problem in caught.value.problems if problem.place
    }
    assert files == {"a.yaml", "b.yaml", "c.yaml"}


def test_rules_come_by_id_whatever_their_file(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(GOOD.replace("R001", "R900"), encoding="utf-8")
    (tmp_path / "b.yaml").write_text(GOOD, encoding="utf-8")

    assert [rule.id for rule in load_rules(tmp_path, WORDS)] == ["R001", "R900"]
