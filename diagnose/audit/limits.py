"""What `diagnose lint` says of the book as a whole: what it cannot tell apart, what never helps."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping

import numpy as np

from diagnose.audit.differential import disagreements, shipped_differential
from diagnose.audit.separation import HELPS, Pair, Separation, bits_to_reach, separation
from diagnose.bench import Bench, Shop
from diagnose.catalogue.issues import Issue, Severity
from diagnose.catalogue.records import holds
from diagnose.circuit.parameters import Array
from diagnose.circuit.rig import bundled_rigs, open_rig
from diagnose.errors import Place
from diagnose.figures import knowledge_folder
from diagnose.reasoning.available_tests import Test

NEVER = 0.02
"""Chance below which a failure mode does not show an answer; estimate."""

NEIGHBOUR = 0.3
"""Chance from which one on the same part does, so that the other might; estimate."""

TELLING = 3.0
"""Chance of an answer under the failure mode that shows it most, over its `otherwise`; below it
the answer says nothing; estimate."""

Answer = tuple[str, str]
"""An observation and one of its answers."""

CODES = {
    "B101": "Two failure modes are told apart by all tests together on some bundled rig with both.",
    "B102": "Every test helps to tell two failure modes apart on some bundled rig.",
    "B103": "Priors rest on more than estimates.",
    "B104": "A first report ranks the causes as practice knows them, within a factor of three.",
    "B105": "What a failure mode never shows, and its neighbours do, is impossible and says why.",
    "B106": "Some failure mode shows an abnormal answer much more often than a sound rig does.",
}
"""The checks, as the others of lint: code, and what holds when it finds nothing."""


def bundled(shop: Shop) -> Mapping[str, Bench]:
    """The bundled rigs by name; some seconds."""
    return {name: Bench.for_rig(open_rig(name), shop) for name in bundled_rigs()}


def limits(rigs: Mapping[str, Bench]) -> tuple[Issue, ...]:
    """What the book cannot do on these rigs, as notes; some seconds a rig."""
    any_rig = next(iter(rigs.values()))
    shop, stop = any_rig.shop, any_rig.model.figures.get("stop-at")
    found = {name: separation(bench) for name, bench in rigs.items()}
    apart = (*_apart(shop, found, stop), *_helping(found))
    return (*apart, *_priors(shop), *_practice(shop), *_never(shop, rigs), *_silent(shop, rigs))


def _practice(shop: Shop) -> Iterator[Issue]:
    """Causes that a first report ranks otherwise than practice does."""
    for one in disagreements(shop, shipped_differential(shop)):
        yield Issue("B104", Severity.SHOULD_FIX, one.row.place, str(one))


def _note(code: str, place: Place, text: str) -> Issue:
    return Issue(code, Severity.NOTE, place, text)


def _apart(shop: Shop, found: Mapping[str, Separation], stop: float) -> Iterator[Issue]:
    """Pairs that fall short on every rig that can have both, the least separable first."""
    lacks = bits_to_reach(stop)
    pairs: dict[tuple[str, str], dict[str, Pair]] = {}
    for rig, one in found.items():
        for pair in one.pairs:
            pairs.setdefault(pair.modes, {})[rig] = pair
    for modes, by_rig in sorted(pairs.items(), key=lambda item: _most(item[1]).bits):
        if _most(by_rig).bits < lacks:
            place = shop.catalogue.failure_modes[modes[0]].place
            yield _note("B101", place, _short_of(modes[1], by_rig, lacks, stop))


def _most(by_rig: Mapping[str, Pair]) -> Pair:
    """The pair on the rig where it is told apart best."""
    return max(by_rig.values(), key=lambda pair: pair.bits)


def _short_of(other: str, by_rig: Mapping[str, Pair], lacks: float, stop: float) -> str:
    bits = ", ".join(f"{pair.bits:.2f} bit on {rig}" for rig, pair in by_rig.items())
    best = max(by_rig.values(), key=lambda pair: pair.best_bits)
    return (
        f"no test separates it from {other}: all tests together teach {bits} of an even choice; "
        f"{lacks:.2f} would make one of them {stop:.0%} likely; best alone: {best.best.id}, "
        f"{best.best_bits:.2f}"
    )


def _helping(found: Mapping[str, Separation]) -> Iterator[Issue]:
    """Tests that teach less than HELPS about any pair on any rig."""
    most: dict[str, tuple[Test, float]] = {}
    for one in found.values():
        for test, bits in one.most:
            before = most.get(test.id, (test, 0.0))[1]
            most[test.id] = test, max(bits, before)
    for test, bits in most.values():
        if bits < HELPS:
            said = f"{test.id} parts no two failure modes with different repairs"
            yield _note(
                "B102", test.entry.place, f"{said}: {bits:.2f} bit at most, below {HELPS:g}"
            )


def _never(shop: Shop, rigs: Mapping[str, Bench]) -> Iterator[Issue]:
    """Such a failure mode is either impossible to see so, and says why, or was forgotten."""
    for (name, option), modes, like in never(rigs):
        yield _note(
            "B105",
            shop.catalogue.failure_modes[modes[0]].place,
            f"{name}: {option} is never shown by {', '.join(modes)}, as it is by "
            f"{', '.join(like)}: mend its shows or effects, or say why under never_shows",
        )


def _silent(shop: Shop, rigs: Mapping[str, Bench]) -> Iterator[Issue]:
    """Abnormal answers that are nearly as common without any fault behind them."""
    for (name, option), ratio in says_nothing(rigs):
        place = shop.catalogue.observations[name].place
        said = f"no failure mode shows {option} more than {ratio:.1f} times as often as `otherwise`"
        yield _note("B106", place, said)


def _priors(shop: Shop) -> Iterator[Issue]:
    """One note for all priors, as there is one reason for it."""
    basis = Counter(mode.prior.basis for mode in shop.catalogue.failure_modes.values())
    if basis["estimate"]:
        place = Place(str(knowledge_folder() / "failure_modes"))
        text = f"{basis['estimate']} of {basis.total()} priors are estimates; no count lies behind"
        yield _note("B103", place, text)


def chances_of_answers(rigs: Mapping[str, Bench]) -> dict[Answer, dict[str, float]]:
    """Chance of every abnormal answer under every failure mode, on the rig that shows it most."""
    found: dict[Answer, dict[str, float]] = defaultdict(dict)
    for bench in rigs.values():
        for name, observation in bench.shop.catalogue.observations.items():
            if not observation.otherwise or not holds(observation.applies, bench.hypotheses.facts):
                continue
            plain = _by_mode(bench, bench.predictions.plain(name))
            usual = max(observation.otherwise, key=lambda one: observation.otherwise[one])
            for option, row in zip(observation.options, plain, strict=True):
                for mode, chance in zip(bench.hypotheses.modes, row, strict=True):
                    if option != usual:
                        most = found[name, option].get(mode, 0.0)
                        found[name, option][mode] = max(most, float(chance))
    return dict(found)


def _by_mode(bench: Bench, plain: Array) -> Array:
    """Chances of the answers under each failure mode; (options, modes)."""
    hypotheses = bench.hypotheses
    first = np.flatnonzero(np.diff(hypotheses.mode, prepend=-1))
    weight = np.add.reduceat(hypotheses.weight, first)
    summed = np.add.reduceat(plain * hypotheses.weight, first, axis=1)
    return np.asarray(summed / weight)


def never(rigs: Mapping[str, Bench]) -> Iterator[tuple[Answer, list[str], list[str]]]:
    """Answers that part of a group of failure modes never shows, without a word why, and part of
    it does."""
    book = next(iter(rigs.values())).shop.catalogue.failure_modes
    for answer, chances in chances_of_answers(rigs).items():
        name, option = answer
        groups: dict[str, list[str]] = defaultdict(list)
        for mode in chances:
            groups[book[mode].group].append(mode)
        for modes in groups.values():
            silent = [mode for mode in modes if chances[mode] < NEVER]
            left = [mode for mode in silent if option not in book[mode].never_shows.get(name, {})]
            like = [mode for mode in modes if chances[mode] >= NEIGHBOUR]
            if like and left:
                yield answer, left, like


def says_nothing(rigs: Mapping[str, Bench]) -> Iterator[tuple[Answer, float]]:
    """Abnormal answers that no failure mode shows much more often than a sound rig, and how often
    the one that shows it most does."""
    observations = next(iter(rigs.values())).shop.catalogue.observations
    for (name, option), chances in chances_of_answers(rigs).items():
        usual, most = observations[name].otherwise[option], max(chances.values())
        if not observations[name].predicted and most < TELLING * usual:
            yield (name, option), most / usual
