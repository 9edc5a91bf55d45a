"""Chord names over a clean tab: those of measures that sound one triad and nothing else.

The triads are arithmetic: a root, three or four semitones above it the third, seven the fifth.
"""

from __future__ import annotations

from rollstave.api import Tune
from rollstave.score.records import Measure

ROOTS = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def triad(name: str) -> frozenset[int]:
    """The pitch classes of a major or minor triad."""
    root = ROOTS.index(name.removesuffix("m"))
    third = 3 if name.endswith("m") else 4
    return frozenset((root + step) % 12 for step in (0, third, 7))


NAMES = tuple(root + suffix for suffix in ("", "m") for root in ROOTS)


def near(name: str) -> tuple[str, ...]:
    """Names that a typist may take for it: its relative, its parallel, those a fifth away, and
    that of the same letter with another sign."""
    minor = name.endswith("m")
    root = ROOTS.index(name.removesuffix("m"))
    mode, other = ("m", "") if minor else ("", "m")
    relative = ROOTS[(root + (3 if minor else -3)) % 12] + other
    signs = [r + mode for r in ROOTS if r[0] == name[0] and r + mode != name]
    fifths = [ROOTS[(root + step) % 12] + mode for step in (7, 5)]
    return (relative, ROOTS[root] + other, *fifths, *signs)


def sounds(measure: Measure, drone: int) -> list[int]:
    """The pitch classes of a measure's notes without the drone."""
    return [
        note.pitch.midi % 12
        for event in measure.events
        for note in event.notes
        if note.string != drone and not note.muted
    ]


def name_of(measure: Measure, drone: int) -> str | None:
    """The triad that a measure sounds whole; None for any other measure."""
    heard = frozenset(sounds(measure, drone))
    return next((name for name in NAMES if triad(name) == heard), None)


def with_names(text: str, tune: Tune) -> str:
    """A clean tab with names over its measures of triads, each where the measure begins."""
    short = tune.score.setup.instrument.short_string
    lines = text.split("\n")
    above: dict[int, str] = {}
    for grid, measure in zip(tune.grid.measures, tune.score.measures, strict=True):
        name = name_of(measure, short.string if short else 0)
        if name is None or not measure.events:
            continue
        columns = [n.place.column for e in measure.events[:1] for n in e.notes]
        row = above.get(grid.first_line, "").ljust(min(columns) - 1)
        if row and not row.endswith(" "):
            continue  # no room
        above[grid.first_line] = row + name
    for number in sorted(above, reverse=True):
        lines.insert(number - 1, above[number].rstrip())
    return "\n".join(lines)
