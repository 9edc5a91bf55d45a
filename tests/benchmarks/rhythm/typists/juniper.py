"""Juniper, an invented typist of the music school of Larkspur Ferry, who began on a typewriter.

Headings are in capitals (the tuning keeps its small letter). The paper ends at sixty-odd columns
and Juniper minds the margin. The space between notes is what the thumb does: two strokes an
eighth or four, one or two a sixteenth. Measures begin at tab stops, every fourth or fifth column,
so there may be several dashes before a bar, as many in each measure of a tune in even typing.
Rows are headed by string numbers, by capitals or by nothing. Colons of repeats stand in all rows
or only in the second and fourth. In a few tunes dots stand for dashes.

When Juniper shows no time, the lines are justified: each note has one or two dashes, and what
is left to the margin is dealt out among the gaps without any thought of length. Sloppy Juniper
has keys that bounce (a dash twice, or not at all), and tightens the last measure of a line that
would cross the margin. Counts always go on from a pickup's place in its measure, 2/2 is counted
in four; in some tunes every beat is counted, struck or not. The carriage, set by eye for the
line below, may stand a column or two off for a whole system. Letters are capitals or small;
what has no letter gets the nearest shorter one, a note of a triplet ``e``.
"""

from __future__ import annotations

import itertools
import random
import re
from fractions import Fraction

from ..model import (
    ArrangedMeasure,
    ArrangedTune,
    Bar,
    Event,
    MeasureKind,
    TypedMeasure,
    TypedTune,
)

_TITLES = (
    "OLD HEN BY THE MILL",
    "ROSIN ON THE STAIRS",
    "JUNIPER'S DELIGHT",
    "NINE MILES OF MUD",
    "THE FERRY BELL",
    "SALLY IN THE BARLEY ROW",
    "LARKSPUR HORNPIPE",
    "COLD BISCUIT",
)
_LENGTHS = (
    (Fraction(4), "w"),
    (Fraction(3), "h."),
    (Fraction(2), "h"),
    (Fraction(3, 2), "q."),
    (Fraction(1), "q"),
    (Fraction(3, 4), "e."),
    (Fraction(1, 2), "e"),
    (Fraction(0), "s"),
)


class _Strip:
    """A measure as gaps: ``gaps[i]`` is the way to note i, ``gaps[-1]`` that from the last to the
    bar."""

    def __init__(self, measure: ArrangedMeasure, words: list[str]) -> None:
        self.measure = measure
        self.words = words
        self.gaps: list[int] = []
        self.floors = self._floors()

    def _floors(self) -> list[int]:
        """The least that each gap may be."""
        events = self.measure.events
        if not events:
            return [2]
        floors = [int(events[0].linked)]
        for before, event, word in zip(events, events[1:], self.words, strict=False):
            floor = max(before.width, 1 + event.linked, len(word) + 1 if word else 1)
            for stroke in event.strokes:
                if before.width_in(stroke.string):
                    floor = max(floor, before.width_in(stroke.string) + 1)
            floors.append(floor)
        return [*floors, events[-1].width]

    def set(self, wanted: list[int]) -> bool:
        """Take these gaps as far as they can be; whether all could."""
        self.gaps = [max(gap, floor) for gap, floor in zip(wanted, self.floors, strict=False)]
        return self.gaps == wanted

    @property
    def width(self) -> int:
        return sum(self.gaps)

    @property
    def columns(self) -> list[int]:
        return [sum(self.gaps[: i + 1]) for i in range(len(self.gaps) - 1)]

    def rows(self, fill: str) -> list[str]:
        """The measure's five rows."""
        rows = [[fill] * self.width for _ in range(5)]
        for column, event in zip(self.columns, self.measure.events, strict=False):
            for string, fret, link in event.strokes:
                for k, key in enumerate(str(fret)):
                    rows[string - 1][column + k] = key
                if link:
                    rows[string - 1][column - 1] = link
        return ["".join(row) for row in rows]


class Juniper:
    """Juniper at the machine with one tune."""

    def __init__(self, tune: ArrangedTune, style: str, rng: random.Random) -> None:
        self.tune, self.style, self.rng = tune, style, rng
        self.margin = rng.choice((60, 64, 68, 72))
        self.pad = rng.choice((1, 1, 1, 0, 2))
        self.stop = rng.choice((0, 4, 5))
        self.middle_dots = rng.random() < 0.4
        self.fill = "." if rng.random() < 0.07 else "-"
        self.under = style if style in ("counted", "lettered") else ""
        self.blind = style == "squeezed" or (bool(self.under) and rng.random() < 0.55)
        self.bouncy = not self.blind and style not in ("even", "pushed")
        self.pushes = style == "pushed" or (self.bouncy and rng.random() < 0.5)
        self.every_beat = rng.random() < 0.5
        self.capitals = rng.random() < 0.5
        self.dash = rng.choice((1, 1, 2))
        self.quarter = self._quarter()
        self.tail = self._tail()
        self.labels = self._labels()

    def _quarter(self) -> int:
        """Columns a quarter note: two or four an eighth, more only if they must be."""
        onsets = [e.onset for m in self.tune.measures for e in m.events]
        lengths = [m.length for m in self.tune.measures]
        thirds = any(o.denominator % 3 == 0 for o in onsets)
        fits = []
        for columns in (6, 12) if thirds else (4, 8, 16):
            if any((value * columns).denominator != 1 for value in onsets + lengths):
                continue
            if all(
                _Strip(m, [""] * len(m.events)).set(self._steps(m, columns, self.pad, 1))
                for m in self.tune.measures
            ):
                fits.append(columns)
        if not fits:
            return 12 if thirds else 8
        if len(fits) == 1 or fits[1] > 12 or self.rng.random() < 0.65:
            return fits[0]
        return fits[1]

    def _tail(self) -> int:
        """Dashes before a bar that bring the next full measure to a tab stop."""
        if not self.stop:
            return self.rng.choice((0, 1))
        full = int(self.tune.meter.length * self.quarter) + self.pad + 1
        return -full % self.stop

    def _labels(self) -> list[str]:
        names = re.findall(r"[A-Ga-g][#b]?", self.tune.tuning)[::-1]
        draw = self.rng.random()
        if draw < 0.35 or len(names) != 5:
            return [""] * 5
        if draw < 0.6:
            return [f"{n} " if self.stop else f"{n}" for n in range(1, 6)]
        wide = max(map(len, names))
        tall = [name[0].upper() + name[1:] for name in names]
        return [name.ljust(wide) for name in (tall if draw < 0.85 else names)]

    def _steps(
        self, measure: ArrangedMeasure, columns: Fraction | int, pad: int, tail: int
    ) -> list[int]:
        """Gaps in proportion to time, with what is pushed added if Juniper pushes."""
        events = measure.events
        if not events:
            return [max(2, round(measure.length * columns) + pad + tail)]
        times = [Fraction(0), *(e.onset for e in events), measure.length]
        marks = [round(time * columns) for time in times]
        steps = [after - before for before, after in itertools.pairwise(marks)]
        # A sign before the first note stands on the padding; without any it takes a column.
        bare = events[0].linked and not steps[0] and not self.pushes
        steps[0] += max(pad, 1) if bare else pad
        if self.pushes:
            for i, event in enumerate(events):
                steps[i] += event.linked
                steps[i + 1] += event.width - 1
        steps[-1] += tail
        return steps

    def _even(self, strip: _Strip) -> None:
        """Strict proportion; a gap that cannot be kept is made up for in the next."""
        wanted = self._steps(strip.measure, self.quarter, self.pad, self.tail)
        owed = 0
        for i, floor in enumerate(strip.floors):
            real = max(wanted[i] - owed, floor)
            owed = real - (wanted[i] - owed)
            wanted[i] = real
        strip.set(wanted)

    def _bounce(self, strip: _Strip, columns: Fraction) -> None:
        """Proportion with a bouncing key."""
        rng = self.rng
        pad = self.pad if rng.random() < 0.85 else rng.choice((0, 0, 1, 2))
        tail = self.tail if rng.random() < 0.75 else rng.choice((0, 1, 2))
        if rng.random() < 0.15:
            columns *= Fraction(rng.choice((85, 90, 115)), 100)
        steps = self._steps(strip.measure, columns, pad, tail)
        for i in range(1, len(steps)):
            draw = rng.random()
            if draw < 0.07:
                steps[i] += 1
            elif draw < 0.12:
                steps[i] -= 1
            elif draw < 0.13:
                steps[i] += 2
        strip.set(steps)

    def _blind(self, strip: _Strip) -> None:
        """Notes one after the other, before the line is justified."""
        events = strip.measure.events
        if not events:
            strip.set([4])
            return
        steps = [self.pad]
        for before, _event in itertools.pairwise(events):
            step = self.dash + (before.width if self.pushes or self.dash == 1 else 1)
            if self.rng.random() < 0.05:
                step += 1
            steps.append(step)
        steps.append(events[-1].width + self.rng.choice((0, 1, 1)))
        strip.set(steps)

    def _justify(self, strips: list[_Strip], room: int) -> None:
        """Deal the spare columns of a line out among its gaps."""
        gaps = [(strip, i) for strip in strips for i in range(1, len(strip.gaps))]
        most = max(1, len(gaps) // 3)
        for strip, i in self.rng.sample(gaps, min(room, most, len(gaps))):
            strip.gaps[i] += 1

    def _lead(self, measure: ArrangedMeasure) -> Fraction:
        missing = self.tune.meter.length - measure.length
        if measure.kind is MeasureKind.PICKUP and missing > 0:
            return missing
        return Fraction(0)

    def _count(self, at: Fraction) -> str:
        """The count at a time; 2/2 goes in four."""
        beat = Fraction(1, 2) if self.tune.meter.unit == 8 else Fraction(1)
        number, rest = divmod(at, beat)
        part = Fraction(rest / beat)
        names = {
            Fraction(0): str(int(number) + 1),
            Fraction(1, 2): "&",
            Fraction(1, 4): "e",
            Fraction(3, 4): "a",
            Fraction(1, 3): "&",
            Fraction(2, 3): "a",
        }
        return names.get(part, "")

    def _letter(self, duration: Fraction) -> str:
        if duration in (Fraction(1, 3), Fraction(2, 3)):
            name = "e" if duration == Fraction(1, 3) else "q"
        else:
            name = next(name for length, name in _LENGTHS if duration >= length)
        return name.upper() if self.capitals else name

    def _words(self, measure: ArrangedMeasure) -> list[str]:
        if self.under == "counted":
            lead = self._lead(measure)
            return [self._count(event.onset + lead) for event in measure.events]
        if self.under == "lettered":
            return [self._letter(event.duration) for event in measure.events]
        return [""] * len(measure.events)

    def _silent(self, strip: _Strip, start: int) -> list[tuple[int, str]]:
        """Beats between the notes that are counted though nothing is struck."""
        found: list[tuple[int, str]] = []
        measure, columns = strip.measure, [*strip.columns, strip.width + 1]
        beat = Fraction(1, 2) if self.tune.meter.unit == 8 else Fraction(1)
        lead = self._lead(measure)
        for i, event in enumerate(measure.events):
            end = measure.events[i + 1].onset if i + 1 < len(measure.events) else measure.length
            number = int((event.onset + lead) // beat) + 1
            beats = []
            while number * beat - lead < end:
                beats.append(number * beat)
                number += 1
            left, right = columns[i] + max(1, len(strip.words[i])), columns[i + 1]
            for at in beats:
                share = float((at - lead - event.onset) / (end - event.onset))
                ideal = round(columns[i] + share * (right - columns[i]))
                word = self._count(at)
                ideal = max(left + 1, min(ideal, right - 1 - len(word)))
                if ideal > left and ideal + len(word) < right:
                    found.append((start + ideal, word))
                    left = ideal + len(word)
        return found

    def _bars(self, left: ArrangedMeasure | None, right: ArrangedMeasure | None) -> list[str]:
        """The bar in each of the rows."""
        signs = [left.right if left else Bar.SINGLE, right.left if right else Bar.SINGLE]
        close, start = Bar.REPEAT_END in signs, Bar.REPEAT_START in signs
        core = "||" if Bar.DOUBLE in signs or (close and start) else "|"
        bars = []
        for string in range(1, 6):
            dot = ":" if not self.middle_dots or string in (2, 4) else self.fill
            bars.append((dot if close else "") + core + (dot if start else ""))
        return bars

    def _strip(self, measure: ArrangedMeasure, columns: Fraction) -> _Strip:
        strip = _Strip(measure, self._words(measure))
        if self.blind:
            self._blind(strip)
        elif self.bouncy:
            self._bounce(strip, columns)
        else:
            self._even(strip)
        return strip

    def _line(self, i: int) -> list[_Strip]:
        """The measures of the line that begins with measure ``i``."""
        rng, measures = self.rng, self.tune.measures
        columns = Fraction(self.quarter)
        if self.bouncy and rng.random() < 0.3:
            columns *= Fraction(rng.choice((3, 5, 6, 6)), 4)
        width = len(self.labels[0]) + 1
        strips: list[_Strip] = []
        while i < len(measures):
            strip = self._strip(measures[i], columns)
            over = width + strip.width + 1 - self.margin
            if strips and over > 0:
                if not (self.bouncy and over <= 4):
                    break
                for _ in range(over):
                    loose = [
                        k for k in range(len(strip.gaps)) if strip.gaps[k] > strip.floors[k] + 1
                    ]
                    if loose:
                        strip.gaps[rng.choice(loose)] -= 1
                strips.append(strip)
                break
            strips.append(strip)
            width += strip.width + 1
            i += 1
            if measures[i - 1].right in (Bar.DOUBLE, Bar.REPEAT_END) and rng.random() < 0.8:
                return strips
        if self.blind and i < len(measures):
            self._justify(strips, max(0, self.margin - width))
        return strips

    def _under_line(self, words: list[tuple[int, str]]) -> str:
        line = ""
        for column, word in sorted(words, key=lambda pair: pair[0]):
            if word:
                space = max(column - len(line), 1 if line and self.under == "counted" else 0)
                line += " " * space + word
        return line

    def heading(self) -> list[str]:
        rng, tune = self.rng, self.tune
        title = rng.choice(_TITLES)
        return rng.choice(
            (
                [f"TITLE: {title}", f"TUNING: {tune.tuning}", f"TIME: {tune.meter}"],
                [title, f"TUNING: {tune.tuning}     TIME: {tune.meter}"],
                [
                    " " * ((self.margin - len(title)) // 2) + title,
                    "",
                    f"Time: {tune.meter}",
                    f"Tuning: {tune.tuning}",
                ],
                [f"Title: {title}", f"Banjo tuning: {tune.tuning}.  Time: {tune.meter}."],
            )
        )

    def type(self) -> TypedTune:
        """The whole page."""
        rng, measures = self.rng, self.tune.measures
        lines = [*self.heading(), ""]
        truth: list[TypedMeasure] = []
        i = 0
        while i < len(measures):
            strips = self._line(i)
            i += len(strips)
            rows = [
                a + b
                for a, b in zip(self.labels, self._bars(None, strips[0].measure), strict=False)
            ]
            words: list[tuple[int, str]] = []
            off = rng.choice((-2, -1, 1, 1, 2)) if self.under and rng.random() < 0.22 else 0
            for k, strip in enumerate(strips):
                start, measure, columns = len(rows[0]), strip.measure, strip.columns
                words += [
                    (start + c + off, word) for c, word in zip(columns, strip.words, strict=False)
                ]
                if self.under == "counted" and self.every_beat:
                    words += [(c + off, word) for c, word in self._silent(strip, start)]
                truth.append(
                    TypedMeasure(
                        measure.length,
                        tuple(event.onset for event in measure.events),
                        tuple(event.duration for event in measure.events),
                        tuple(
                            (len(lines) + _top(event), start + column + 1)
                            for column, event in zip(columns, measure.events, strict=False)
                        ),
                        measure.kind,
                    )
                )
                last = k + 1 == len(strips)
                bars = self._bars(measure, None if last else strips[k + 1].measure)
                rows = [
                    a + b + c for a, b, c in zip(rows, strip.rows(self.fill), bars, strict=False)
                ]
            lines += rows
            if self.under:
                lines.append(self._under_line(words))
            lines.append("")
        while lines and not lines[-1]:
            lines.pop()
        return TypedTune("\n".join(lines) + "\n", self.tune.meter, tuple(truth))


def _top(event: Event) -> int:
    """The row of a column's topmost fret, from 1."""
    return min(stroke.string for stroke in event.strokes)


def type_tune(tune: ArrangedTune, style: str, rng: random.Random) -> TypedTune:
    """Type a tune as Juniper would."""
    return Juniper(tune, style, rng).type()
