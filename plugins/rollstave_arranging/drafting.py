"""A chord chart with a roll becomes a tab: a backup part in a minute, to be edited on.

Under headings, one of them ``Roll:``, a chart has a bar for each measure (common practice)::

    Tuning: gCGBD
    Time: 4/4
    Roll: 4 2 5 2 1 2 3 2
    Melody: C E G - | A - C - |
    | C | F | C G | C |

Two chords in a bar share it, ``%`` is the bar before it again. The roll is one of :data:`ROLLS`, or
the string of each of its strokes. A line of melody has a note for each beat, or ``-`` for none.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import product

from msgspec import Struct

from rollstave import (
    ChordName,
    HouseText,
    Place,
    Problem,
    Setup,
    Severity,
    TabError,
    chord_named,
    chord_tones,
    known_instruments,
    parse_tuning,
)
from rollstave_arranging.neck import EASY, reach_of

# Strings of the strokes. Finger orders: common practice, from memory.
ROLLS = {
    "forward": (3, 2, 1, 5, 2, 1, 5, 1),
    "backward": (1, 2, 5, 1, 2, 5, 1, 5),
    "forward-reverse": (3, 2, 1, 5, 1, 2, 3, 1),
    "alternating thumb": (3, 2, 5, 1, 4, 2, 5, 1),
    "paired": (4, 2, 5, 2, 1, 2, 3, 2),
}
_IN_SIX = {"forward": (3, 2, 1, 5, 2, 1), "backward": (1, 2, 5, 1, 2, 5)}
_STROKES = {"4/4": 8, "2/2": 8, "2/4": 8, "3/4": 6, "6/8": 6}
_BEATS = {"4/4": 4, "2/2": 4, "2/4": 4, "3/4": 3, "6/8": 2}  # notes of a line of melody
_HEADING = re.compile(r"^\s*([A-Za-z][\w ]*?)\s*:\s*(.*?)\s*$")
_CHART = re.compile(r"^\s*\|(?:[^|\-]*\|)+\s*$")
_PER_SYSTEM = 4
_LAST = 5  # the highest fret of a shape that a chart is given; ours


class Bar(Struct, frozen=True):
    """A bar of a chart: its chords, and the line and column that it stands in."""

    chords: tuple[str, ...]
    place: Place


def recognise(text: str) -> float:
    """How surely a text is a chord chart with a roll: it has both, and no rows of tab."""
    lines = text.splitlines()[:400]
    roll = any(line.lstrip().lower().startswith("roll:") for line in lines)
    if not roll or any("--" in line for line in lines):
        return 0.0
    return 0.9 if any(_CHART.match(line) for line in lines) else 0.0


def read(text: str) -> HouseText:
    """The tab of a chart. Raises TabError with a place."""
    return _Draft(text).text()


def _error(message: str, place: Place) -> TabError:
    problem = Problem(severity=Severity.ERROR, code="no-rework", message=message, place=place)
    return TabError((problem,))


class _Draft:
    def __init__(self, text: str) -> None:
        self.said: dict[str, tuple[str, Place]] = {}
        self.kept: list[tuple[str, int]] = []
        self.bars: list[Bar] = []
        for number, line in enumerate(text.splitlines(), start=1):
            self._line(line, number)
        self.time = {"cut time": "2/2", "common time": "4/4"}.get(
            self._said("time").lower(), self._said("time") or "4/4"
        )
        self.setup = self._setup()
        self.roll = self._roll()
        self.melody = self._melody()

    def _line(self, line: str, number: int) -> None:
        if _CHART.match(line):
            at = line.index("|")
            for part in line[at + 1 :].rstrip().rstrip("|").split("|"):
                column = at + 2 + len(part) - len(part.lstrip())
                chords = tuple(part.split())
                if chords == ("%",) and self.bars:
                    chords = self.bars[-1].chords
                if chords:
                    self.bars.append(Bar(chords, Place(number, column)))
                at += len(part) + 1
            return
        heading = _HEADING.match(line)
        if heading:
            self.said[heading[1].lower()] = (heading[2], Place(number, heading.start(2) + 1))
        if not heading or heading[1].lower() not in ("roll", "melody"):
            self.kept.append((line, number))

    def _said(self, key: str) -> str:
        return self.said[key][0] if key in self.said else ""

    def _setup(self) -> Setup:
        banjo = next(i for i in known_instruments() if i.short_string is not None)
        words = self._said("tuning")
        tuning = parse_tuning(words, banjo) if words else banjo.default
        if tuning is None:
            raise _error(f"{words!r} is no tuning; write five letters", self.said["tuning"][1])
        return Setup(banjo, tuning)

    def _roll(self) -> tuple[int, ...]:
        words, place = self.said["roll"]
        if self.time not in _STROKES:
            known = ", ".join(_STROKES)
            raise _error(
                f"a roll in {self.time} is not known; there are rolls in {known}",
                self.said["time"][1],
            )
        strokes = _STROKES[self.time]
        digits = tuple(int(d) for d in re.findall(r"[1-5]", words))
        name = re.sub(r"\s*(roll|pattern)\b", "", words.lower()).strip()
        table = ROLLS if strokes == 8 else _IN_SIX
        if name in table:
            return table[name]
        if len(digits) == strokes and not re.search(r"[A-Za-z6-90]", words):
            return digits
        raise _error(
            f"{words!r} is no roll in {self.time}: name one of {', '.join(table)}, or write the "
            f"strings of its {strokes} strokes, as {' '.join(map(str, table['forward']))}",
            place,
        )

    def _melody(self) -> list[list[str]]:
        if "melody" not in self.said:
            return []
        words, place = self.said["melody"]
        found = [part.split() for part in words.strip().strip("|").split("|")]
        for notes in found:
            odd = [n for n in notes if not re.fullmatch(r"-|[A-Ga-g][#b]?", n)]
            if odd:
                raise _error(f"{odd[0]!r} is no note of a melody, such as C, F# or -", place)
            if len(notes) > _BEATS[self.time]:
                beats = _BEATS[self.time]
                raise _error(f"a bar of melody has {beats} beats, not {len(notes)}", place)
        return found

    # The tab ------------------------------------------------------------------------------------

    def text(self) -> HouseText:
        lines = [line for line, _ in self.kept]
        places = [number for _, number in self.kept]
        if "time" not in self.said:
            lines.insert(0, "Time: 4/4")
            places.insert(0, 0)
        for first in range(0, len(self.bars), _PER_SYSTEM):
            bars = self.bars[first : first + _PER_SYSTEM]
            system = ["", *self._system(bars, first), ""]
            lines += system
            places += [bars[0].place.line] * len(system)
        return HouseText("\n".join(lines) + "\n", tuple(places))

    def _system(self, bars: Sequence[Bar], first: int) -> list[str]:
        pitches = self.setup.tuning.pitches
        labels = [p.letter for p in pitches]
        labels[-1] = labels[-1][0].lower() + labels[-1][1:]
        widest = max(map(len, labels))
        rows = [label.ljust(widest) + "|" for label in labels]
        names = " " * (widest + 1)
        for index, bar in enumerate(bars, start=first):
            start = len(rows[0])
            for at, name in enumerate(bar.chords):
                column = start + 1 + at * (2 * len(self.roll) // len(bar.chords))
                names = names.ljust(max(column, len(names) + 1)) + name
            for strokes in self._strokes(bar, index):
                for string, row in enumerate(rows, start=1):
                    fret = str(strokes[string]) if string in strokes else "-"
                    rows[string - 1] = row + ("-" + fret if len(fret) == 1 else fret)
            rows = [row + "-|" for row in rows]
        return [names, *rows]

    def _strokes(self, bar: Bar, index: int) -> Iterator[dict[int, int]]:
        """String and fret of each stroke of a bar; the last bar ends with two plucks."""
        count = len(self.roll)
        last = index == len(self.bars) - 1 and count == 8
        shapes = [self._shape(name, bar.place) for name in bar.chords]
        notes = self.melody[index] if index < len(self.melody) else []
        beat = count // _BEATS[self.time]
        for at, string in enumerate(self.roll):
            shape = shapes[at * len(shapes) // count]
            if last and at >= count // 2:
                yield {1: shape[0], 2: shape[1]} if at % 2 == 0 else {}
                continue
            note = notes[at // beat] if at % beat == 0 and at // beat < len(notes) else "-"
            if note == "-":
                yield {string: 0 if string == 5 else shape[string - 1]}
            else:
                sung, fret = self._sung(note, shape, self.roll[(at + 1) % count])
                yield {sung: fret}

    def _sung(self, note: str, shape: tuple[int, ...], after: int) -> tuple[int, int]:
        """Where a note of the melody lies low on the neck: on a thumb string, if it can, and not
        on that of the stroke after it."""
        wanted = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[note[0].upper()]
        wanted = (wanted + {"#": 1, "b": -1, "": 0}[note[1:]]) % 12
        spots = [
            (abs(fret - shape[string - 1]) + 2 * (string < 3) + 4 * (string == after), string, fret)
            for string in (3, 4, 2, 1)
            for fret in range(_LAST + 1)
            if self.setup.midi(string, fret) % 12 == wanted
        ]
        _, string, fret = min(spots)
        return string, fret

    def _shape(self, name: str, place: Place) -> tuple[int, ...]:
        """The easiest low shape of a chord, strings 1 to 4, all of its tones in it."""
        chord: ChordName = chord_named(name)
        tones = chord_tones(chord)
        if not tones:
            raise _error(f"{name!r} is no chord that is known, such as C, Am or G7", place)
        rows = [
            [f for f in range(_LAST + 1) if self.setup.midi(string, f) % 12 in tones]
            for string in (1, 2, 3, 4)
        ]
        shapes = [s for s in product(*rows) if reach_of(s) <= EASY + 0.5]
        if not shapes:
            raise _error(f"{name} has no shape between the nut and fret {_LAST} here", place)

        def hard(shape: tuple[int, ...]) -> tuple[int, float]:
            sounds = {self.setup.midi(s, f) % 12 for s, f in zip((1, 2, 3, 4), shape, strict=True)}
            return len(tones - sounds), sum(shape) + max(shape) + 1.5 * sum(f > 0 for f in shape)

        return min(shapes, key=lambda s: (hard(s), s))
