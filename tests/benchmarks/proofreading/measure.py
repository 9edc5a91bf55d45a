"""Planting slips and counting what is found."""

from __future__ import annotations

import itertools
import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from tests.benchmarks.rhythm.corpus import load
from tests.benchmarks.rhythm.model import Bar, CorpusTune, MeasureKind, Style, TuneKind
from tests.benchmarks.rhythm.run import ROLL_TUNES, make
from tests.benchmarks.rhythm.typist import type_tune

import rollstave
from rollstave.api import Tune
from rollstave.problems import TabError
from rollstave.proofreading import proofread
from rollstave.score.records import Measure, Note

from .naming import NAMES, sounds, triad, with_names
from .plant import KINDS, NAMED, OF_ROLLS, Slip

_MOST_TRIES = 50
_MOST_TABS = 6
Marks = set[tuple[str, int]]  # code and line
_MAJOR = (0, 2, 4, 5, 7, 9, 11)


@dataclass
class Counts:
    """Of one kind of slip: planted, found, leaving a trace, and found of those; and of those with
    a twin, whether or not melody, chord and roll allow what is typed."""

    planted: int = 0
    found: int = 0
    traced: int = 0
    traced_found: int = 0
    twins: int = 0
    twins_found: int = 0


@dataclass
class Result:
    """Everything counted. ``accused`` has the false marks on clean tabs by code."""

    slips: dict[str, Counts] = field(default_factory=lambda: {kind: Counts() for kind in KINDS})
    clean_measures: int = 0
    clean_tabs: int = 0
    accused: Counter[str] = field(default_factory=Counter)


def clean_tabs(seed: int) -> Iterator[str]:
    """Clean tabs without end: arranged fiddle tunes and roll tunes by turns. Tunes with measures
    of odd length, or with a repeat that is opened and never closed, which nearly all are errors
    of the corpus, are not clean and left out."""
    corpus = [
        tune
        for tune in sorted(load().tunes, key=lambda t: t.number)
        if all(m.kind is not MeasureKind.ODD for m in tune.measures) and _closes(tune)
    ]
    rng = random.Random(f"{seed}:clean")
    while True:
        tune = make(TuneKind.FIDDLE, rng.choice(corpus), seed)
        yield type_tune(tune, Style.EVEN, seed).text
        yield roll_tab(rng, seed)


def _closes(tune: CorpusTune) -> bool:
    """Whether every repeat that is opened is closed before the next one opens."""
    opened = False
    for measure in tune.measures:
        if measure.left is Bar.REPEAT_START:
            if opened:
                return False
            opened = True
        opened = opened and measure.right is not Bar.REPEAT_END
    return not opened


def roll_tab(rng: random.Random, seed: int) -> str:
    """A tab of rolls."""
    return type_tune(make(TuneKind.ROLL, rng.randrange(ROLL_TUNES), seed), Style.EVEN, seed).text


def trials(seed: int) -> Iterator[tuple[str, str, Slip | None]]:
    """Without end: a kind of slip, a clean tab, and the tab with it, which is None where the tab
    cannot hold one. Kinds come in turn; those of rolls are given a tab of rolls that can."""
    tabs = clean_tabs(seed)
    for number in itertools.count():
        kind = list(KINDS)[number % len(KINDS)]
        rng = random.Random(f"{seed}:{number}:{kind}")
        text, slip = next(tabs), None
        for _ in range(_MOST_TABS):
            if kind in OF_ROLLS:
                text = roll_tab(rng, seed)
            if kind in NAMED:
                text = with_names(text, rollstave.read(text)[0])
            slip = planted(kind, text, rng)
            if slip is not None or kind not in OF_ROLLS:
                break
        yield kind, text, slip


def planted(kind: str, text: str, rng: random.Random) -> Slip | None:
    """A tab with a slip of the kind, if some tries bring one."""
    lines = text.split("\n")
    tries = (KINDS[kind](lines, rng) for _ in range(_MOST_TRIES))
    return next((s for s in tries if s is not None), None)


def run(slips: int, seed: int) -> Result:
    """Plant so many slips, kind by kind in turn, each in a tab of its own; each of these tabs is
    proofread clean as well."""
    result = Result()
    for kind, text, slip in itertools.islice(trials(seed), slips):
        (tune,) = rollstave.read(text)
        marks = proofread(tune)
        result.clean_tabs += 1
        result.clean_measures += len(tune.score.measures)
        result.accused.update(m.code for m in marks)
        if slip is None:  # a tab that cannot hold this kind of slip
            continue
        counts = result.slips[kind]
        found = _is_found(slip, {(m.code, m.place.line) for m in marks})
        trace = trace_of(kind, tune, slip)
        counts.planted += 1
        counts.found += found
        counts.traced += trace.told
        counts.traced_found += found and trace.told
        counts.twins += trace.twin
        counts.twins_found += found and trace.twin
    return result


def _is_found(slip: Slip, before: Marks) -> bool:
    try:
        (tune,) = rollstave.read(slip.text)
    except TabError as error:
        return any(
            p.place and slip.first_line <= p.place.line <= slip.last_line for p in error.problems
        )
    except ValueError:  # read as several tunes
        return False
    first, last = slip.columns or (0, len(slip.text))
    return any(
        slip.first_line <= place.line <= slip.last_line and first <= place.column <= last
        for m in proofread(tune)
        if (m.code, m.place.line) not in before
        for place in (m.place, m.also)
        if place is not None
    )


# What leaves a trace ---------------------------------------------------------------------------


@dataclass(frozen=True)
class Trace:
    """Whether a slip leaves a trace, and whether it would by a twin alone: if what melodies,
    chords and rolls allow counted as well."""

    told: bool
    twin: bool


def trace_of(kind: str, clean: Tune, slip: Slip) -> Trace:
    """By the definition at the top of the package."""
    if kind == "near name":
        return _both(_leaves_name(clean, slip))
    if kind != "wrong tuning" and slip.note is None:
        return _both(True)
    try:
        (changed,) = rollstave.read(slip.text)
    except TabError:
        return _both(True)
    if kind == "wrong tuning":
        return _both(_loss_of_scale(clean, changed) >= 0.1)
    assert slip.note is not None
    line, column = slip.note
    measures = changed.score.measures
    for index, measure in enumerate(measures):
        for event in measure.events:
            for note in event.notes:
                if (note.place.line, note.place.column) == (line, column + 1):
                    heard = Counter(
                        n.pitch.midi % 12 for m in measures for e in m.events for n in e.notes
                    )
                    if heard[note.pitch.midi % 12] == 1:
                        return _both(True)
                    twin = _has_twin(clean, index)
                    known = twin or (kind == "closed shape" and _held_elsewhere(clean, index))
                    return Trace(known and not _is_allowed(clean, measure, note), twin)
    return _both(True)


def _both(leaves: bool) -> Trace:
    return Trace(leaves, leaves)


def _drone(tune: Tune) -> int:
    short = tune.score.setup.instrument.short_string
    return short.string if short else 0


def _is_allowed(clean: Tune, measure: Measure, note: Note) -> bool:
    """Whether melody, chord and roll allow a note: it is in the scale of the clean tune, within a
    third of a note beside it, in the triad that its measure holds in a closed shape over three
    strings and two frets, if it does, and strikes no string twice running where nothing else in
    the measure does."""
    drone = _drone(clean)
    pitch_class = note.pitch.midi % 12
    counts = Counter(pc for m in clean.score.measures for pc in sounds(m, drone))
    tonic = max(range(12), key=lambda t: sum(counts[(t + step) % 12] for step in _MAJOR))
    if (pitch_class - tonic) % 12 not in _MAJOR:
        return False
    struck = [(n, e) for e in measure.events for n in e.notes]
    rest = frozenset(n.pitch.midi % 12 for n, _ in struck if n is not note and n.string != drone)
    strings = {n.string for n, _ in struck if n.string != drone}
    frets = {n.fret for n, _ in struck if n.string != drone and n is not note}
    closed = 0 not in frets and len(frets) > 1  # under one finger the others are free
    broken = closed and len(strings) >= 3 and any(triad(name) == rest for name in NAMES)
    if broken and pitch_class not in rest:
        return False
    if note.string == drone:
        return True
    at = next(i for i, e in enumerate(measure.events) if note in e.notes)
    beside = [
        n.pitch.midi
        for e in measure.events[max(0, at - 2) : at + 3]
        for n in e.notes
        if n is not note and n.string != drone
    ]
    if beside and min(abs(note.pitch.midi - midi) for midi in beside) > 4:
        return False
    running = [
        a
        for a, (one, other) in enumerate(itertools.pairwise(measure.events))
        if {n.string for n in one.notes} & {n.string for n in other.notes}
    ]
    return not running or any(a not in (at - 1, at) for a in running)


def _held_elsewhere(clean: Tune, index: int) -> bool:
    """Whether the shape of a measure, three strings stopped, is held in another one."""
    held = {(string, fret) for _, string, fret in _content(clean, index) if fret}
    return any(
        held <= {(string, fret) for _, string, fret in _content(clean, other)}
        for other in range(len(clean.score.measures))
        if other != index
    )


def _leaves_name(clean: Tune, slip: Slip) -> bool:
    """Whether a wrong name leaves a quarter of the notes outside, of six or more."""
    (changed,) = rollstave.read(slip.text)
    for one, other in zip(clean.score.measures, changed.score.measures, strict=True):
        own, typed = ([c for c in m.chords if not c.inferred] for m in (one, other))
        if [c.text for c in own] == [c.text for c in typed] or not typed:
            continue
        heard = sounds(one, _drone(clean))
        inside = sum(pc in triad(typed[0].text) for pc in heard)
        return len(heard) >= 6 and inside <= 0.75 * len(heard)
    return True


def _content(tune: Tune, index: int) -> tuple[object, ...]:
    return tuple(
        (e.onset, n.string, n.fret) for e in tune.score.measures[index].events for n in e.notes
    )


def _has_twin(clean: Tune, index: int) -> bool:
    own = _content(clean, index)
    return any(
        _content(clean, other) == own
        for other in range(len(clean.score.measures))
        if other != index
    )


def _loss_of_scale(clean: Tune, changed: Tune) -> float:
    """How many of the notes leave the scale that held them best before, as a share."""
    before, after = (
        Counter(n.pitch.midi % 12 for m in t.score.measures for e in m.events for n in e.notes)
        for t in (clean, changed)
    )

    def best(counts: Counter[int]) -> float:
        whole = sum(counts.values())
        return max(sum(counts[(t + s) % 12] for s in _MAJOR) for t in range(12)) / whole

    return best(before) - best(after)
