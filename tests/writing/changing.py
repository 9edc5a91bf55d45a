"""Tunes that change in their midst: what holds in each measure, and their text.

A measure is quarter notes, as many as its meter has by arithmetic, so that nothing of its rhythm is
in doubt. Every change stands in a heading between two systems.
"""

from __future__ import annotations

import random
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

_STRINGS = 5


class Held(Struct, frozen=True):
    """What holds in a measure, as a heading says it."""

    time: str = "4/4"
    key: str = "G major"
    tempo: str = "100"
    tuning: str = "gDGBD"
    capo: str = "none"

    @property
    def length(self) -> Fraction:
        """The quarter notes of a full measure, by arithmetic."""
        count, unit = self.time.split("/")
        return Fraction(4 * int(count), int(unit))

    @property
    def open_strings(self) -> list[int]:
        """The MIDI numbers of the open strings, all of them raised by the capo: the fifth string
        goes with it (common practice, no source)."""
        capo = 0 if self.capo == "none" else int(self.capo)
        return [pitch + capo for pitch in OPEN[self.tuning]]

    @property
    def quarters(self) -> Fraction:
        """Quarter notes a minute: a number counts beats, which in 6/8 and 9/8 are dotted quarters
        (common practice, no source)."""
        beat = Fraction(3, 2) if self.time in ("6/8", "9/8") else Fraction(1)
        return int(self.tempo) * beat


# What may stand in the headings of each kind.
VALUES: dict[str, tuple[str, ...]] = {
    "time": ("4/4", "3/4", "2/4", "6/8", "9/8", "5/4"),
    "key": ("G major", "D major", "A minor", "F major", "A mixolydian", "Eb major"),
    "tempo": ("100", "72", "144", "96"),
    "tuning": ("gDGBD", "gCGCD", "gDGCD"),
    "capo": ("none", "2", "3"),
}
NAMES = {kind: kind.capitalize() for kind in VALUES}
# MIDI numbers of the open strings, the first string first (C4 is 60, and so on by semitones).
OPEN = {
    "gDGBD": (62, 59, 55, 50, 67),
    "gCGCD": (62, 60, 55, 48, 67),
    "gDGCD": (62, 60, 55, 50, 67),
}
# Sharps, or flats below 0, by the circle of fifths.
FIFTHS = dict(zip(VALUES["key"], (1, 2, 0, -1, 2, -3), strict=True))


class Changing(Struct, frozen=True):
    """A tune: what holds in each measure, and which measures begin and end a repeat."""

    held: tuple[Held, ...]
    repeats: tuple[tuple[int, int], ...] = ()

    @property
    def order(self) -> list[int]:
        """The measures as they are played."""
        found: list[int] = []
        at = 0
        for first, last in self.repeats:
            found += [*range(at, last + 1), *range(first, last + 1)]
            at = last + 1
        return [*found, *range(at, len(self.held))]

    def text(self) -> str:
        """The tab as a person might type it: a system for each stretch without a change."""
        head = [f"{NAMES[key]}: {getattr(self.held[0], key)}" for key in NAMES]
        blocks = ["\n".join(("Title: Bent Oar", *head))]
        for first, last in self.stretches():
            if first:
                before, now = self.held[first - 1], self.held[first]
                said = [k for k in NAMES if getattr(before, k) != getattr(now, k)]
                if said:
                    blocks.append("\n".join(f"{NAMES[k]}: {getattr(now, k)}" for k in said))
            blocks.append(self._system(first, last))
        return "\n\n".join(blocks) + "\n"

    def stretches(self) -> list[tuple[int, int]]:
        """The first and last measures of systems: a new one where something changes, and no more
        than three measures in each."""
        found: list[tuple[int, int]] = []
        for index, held in enumerate(self.held):
            if found and self.held[index - 1] == held and index - found[-1][0] < 3:
                found[-1] = (found[-1][0], index)
            else:
                found.append((index, index))
        return found

    def _system(self, first: int, last: int) -> str:
        rows = [f"{label}|" for label in reversed(self.held[first].tuning)]
        for index in range(first, last + 1):
            opens = any(index == a for a, _ in self.repeats)
            closes = any(index == b for _, b in self.repeats)
            step = 2 if self.held[index].time.endswith("8") else 4
            count = int(self.held[index].length * 4 // step)
            for string in range(_STRINGS):
                cells = (
                    ("0" if (n + index) % _STRINGS == string else "-").ljust(step, "-")
                    for n in range(count)
                )
                rows[string] += ":" * opens + "-" + "".join(cells) + ":" * closes + "|"
        return "\n".join(rows)


def with_one_change(kind: str) -> list[Changing]:
    """A tune of five measures for each boundary and for each value that may come there, and one
    that changes and changes back."""
    found = []
    _, *others = VALUES[kind]
    for at in range(1, 5):
        for value in others:
            new = replace(Held(), **{kind: value})
            found.append(Changing((*(Held(),) * at, *(new,) * (5 - at))))
            found.append(Changing((*(Held(),) * at, new, *(Held(),) * (4 - at))))
    return found


def at_random(seed: int) -> Changing:
    """A tune in which everything may change at every boundary, with a repeat."""
    dice = random.Random(seed)
    held = [Held(**{kind: dice.choice(values) for kind, values in VALUES.items()})]
    for _ in range(dice.randrange(5, 9)):
        now = held[-1]
        for kind, values in VALUES.items():
            if dice.random() < 0.3:
                now = replace(now, **{kind: dice.choice(values)})
        held.append(now)
    first = dice.randrange(0, 2)
    last = dice.randrange(first + 1, len(held) - 1)
    return Changing(tuple(held), ((first, last),))
