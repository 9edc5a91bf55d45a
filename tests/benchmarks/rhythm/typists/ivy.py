"""Ivy, an invented typist of the music school of Larkspur Ferry: the hasty one.

Ivy plays in two bands, types between sets on whatever has keys and sends tab off unread. One or
two columns an eighth (one or two a sixteenth), no padding or a single dash, mostly no letters
before the rows, if any then all small; some tunes have no bar at the left end. As many measures
go on a line as seem to fit that day, so lines differ. Headings are one or two lines, often in
small letters. Hammers and pulls are typed tight (``2h3``) wherever time is not kept strictly;
in some tunes Ivy types the sign straight after the fret it leaves (``2h-3``).

Sloppy is Ivy's usual way: spacing changes from line to line and from measure to measure, dashes
too many or too few, notes right after the bar. Without time, notes have no dash, one or two
between them, a held note perhaps one more. Counts start at 1 even in some pickups, ``&`` or
``+``; beats that are not struck are counted only now and then; the line of counts forgets labels
or wide frets and so slides. Letters are small, notes of a triplet ``e``, ties the nearest letter.
"""

from __future__ import annotations

import random
import re
from fractions import Fraction
from typing import NamedTuple

from ..model import (
    ArrangedMeasure,
    ArrangedTune,
    Bar,
    Event,
    MeasureKind,
    TypedMeasure,
    TypedTune,
)

_WORDS = (
    "goose",
    "porch",
    "muddy",
    "shoe",
    "granny",
    "kettle",
    "possum",
    "ferry",
    "sunday",
    "tick",
)
_LETTERS = {
    "w": Fraction(4),
    "h.": Fraction(3),
    "h": Fraction(2),
    "q.": Fraction(3, 2),
    "q": Fraction(1),
    "e.": Fraction(3, 4),
    "e": Fraction(1, 2),
    "s": Fraction(1, 4),
}


class _Draft(NamedTuple):
    """A measure's columns, its width and the words under it."""

    measure: ArrangedMeasure
    columns: list[int]
    width: int
    words: list[str]


class _Mood:
    """Ivy's habits for one tune."""

    def __init__(self, tune: ArrangedTune, style: str, rng: random.Random) -> None:
        self.rng = rng
        self.tune = tune
        self.words = style if style in ("counted", "lettered") else ""
        self.timeless = style == "squeezed" or (bool(self.words) and rng.random() < 0.45)
        self.loose = not self.timeless and style not in ("even", "pushed")
        self.push = style == "pushed" or (self.loose and rng.random() < 0.6)
        self.after, self.before = rng.choice(((0, 0), (1, 0), (1, 0), (0, 1), (1, 1)))
        self.gap = rng.choice((1, 2, 2, 2, 3, 3)) if not self.words else rng.choice((2, 2, 3))
        self.early_sign = rng.random() < 0.15
        self.tight = style not in ("even", "pushed")
        self.and_ = rng.choice("&&+")
        self.from_one = rng.random() < 0.3
        self.shortest = min(
            (e.duration for m in tune.measures for e in m.events), default=Fraction(1)
        )
        self.beat = self._beat()
        self.columns = self._columns(style)

    def _beat(self) -> Fraction:
        """What is counted as one."""
        meter, rng = self.tune.meter, self.rng
        halves = all((e.onset * 2).denominator == 1 for m in self.tune.measures for e in m.events)
        if meter.unit == 2:
            return Fraction(2) if halves and rng.random() < 0.4 else Fraction(1)
        if meter.unit == 8 and meter.count % 3 == 0 and halves and rng.random() < 0.2:
            return Fraction(3, 2)
        return Fraction(4, meter.unit)

    def _columns(self, style: str) -> int:
        """Columns a quarter note, the fewest that Ivy can live with."""
        onsets = [e.onset for m in self.tune.measures for e in m.events]
        if any(onset.denominator % 3 == 0 for onset in onsets):
            choices = [6, 12] if all((o * 6).denominator == 1 for o in onsets) else [12]
        elif all((onset * 2).denominator == 1 for onset in onsets):
            choices = self.rng.choice(([2, 4, 6], [4, 6], [4, 6]))
        elif all((onset * 4).denominator == 1 for onset in onsets):
            choices = self.rng.choice(([4, 8, 12], [8, 12]))
        else:
            choices = [8, 16]
        for columns in choices:
            if all(
                self.in_time(m, Fraction(columns), [""] * len(m.events))[1]
                for m in self.tune.measures
            ):
                return columns
        return choices[-1] if style in ("even", "pushed") else choices[min(1, len(choices) - 1)]

    def least(self, before: Event, event: Event, word: str) -> int:
        """The fewest columns from one note to the next."""
        least = max(1, before.width, 2 if event.linked else 1, len(word))
        if len(word) > 1 or (self.words == "counted" and word):
            least = max(least, len(word) + 1)
        shared = [before.width_in(s.string) for s in event.strokes]
        return max(least, max(shared) + 1 if any(shared) else 1)

    def in_time(
        self, measure: ArrangedMeasure, columns: Fraction, words: list[str]
    ) -> tuple[_Draft, bool]:
        """A measure in strict proportion; and whether it could be."""
        places: list[int] = []
        extra, strict = self.after, True
        for i, event in enumerate(measure.events):
            extra += event.linked and self.push
            want = extra + round(event.onset * columns)
            floor = (
                int(event.linked)
                if not places
                else (places[-1] + self.least(measure.events[i - 1], event, words[i - 1]))
            )
            if i == 0 and want < floor:
                # A sign before the first note needs a column: the whole measure makes room.
                extra += floor - want
                want = floor
            strict = strict and want >= floor
            places.append(max(want, floor))
            extra += (event.width - 1) * self.push
        want = extra + round(measure.length * columns) + self.before
        floor = places[-1] + measure.events[-1].width if places else 1
        return _Draft(measure, places, max(want, floor), words), strict and want >= floor

    def in_haste(self, measure: ArrangedMeasure, columns: Fraction, words: list[str]) -> _Draft:
        """A measure roughly in proportion, as it comes."""
        rng, events = self.rng, measure.events
        if rng.random() < 0.25:
            columns *= Fraction(rng.choice((80, 88, 112, 125)), 100)
        at = float(self.after)
        if rng.random() < 0.2:
            at = rng.choice((0, 0, 1, 2))
        if events:
            at += float(events[0].onset * columns)
        places: list[int] = []
        debt = 0.0
        for i, event in enumerate(events):
            if i == 0:
                places.append(max(round(at), int(event.linked)))
                continue
            earlier = events[i - 1]
            step = float((event.onset - earlier.onset) * columns)
            if self.push:
                step += earlier.width - 1 + event.linked
            if event.linked and rng.random() < 0.3:
                step = 2
            if rng.random() < 0.16:
                step += rng.choice((-1, -1, 1, 1, 1, 2))
            if earlier.duration >= 2 and rng.random() < 0.3:
                step *= rng.choice((0.6, 0.75, 0.8))
            typed = max(round(step + debt), self.least(earlier, event, words[i - 1]))
            debt = max(-0.7, min(0.7, step + debt - typed))
            places.append(places[-1] + typed)
        if not events:
            return _Draft(measure, places, max(2, round(measure.length * columns)), words)
        tail = max(1, round(float(events[-1].duration * columns)) + self.before)
        if rng.random() < 0.3:
            tail += rng.choice((-1, 1, -2))
        return _Draft(measure, places, places[-1] + max(tail, events[-1].width), words)

    def in_no_time(self, measure: ArrangedMeasure, words: list[str]) -> _Draft:
        """A measure whose notes are simply one after the other."""
        rng, events = self.rng, measure.events
        places: list[int] = []
        for i, event in enumerate(events):
            if i == 0:
                places.append(max(self.after, int(event.linked)))
                continue
            earlier = events[i - 1]
            step = self.gap
            if event.linked and rng.random() < 0.8:
                step = 2 if earlier.width == 1 else 3
            elif earlier.duration >= 2 * self.shortest and rng.random() < 0.3:
                step += rng.choice((1, 1, 2))
            if rng.random() < 0.07:
                step += rng.choice((1, 1, -1))
            places.append(places[-1] + max(step, self.least(earlier, event, words[i - 1])))
        if not events:
            return _Draft(measure, places, rng.randint(2, 6), words)
        tail = events[-1].width + self.before + (rng.choice((0, 0, self.gap - 1)))
        tail += rng.random() < 0.1
        return _Draft(measure, places, places[-1] + tail, words)

    def word(self, measure: ArrangedMeasure, event: Event, one: Fraction) -> str:
        """What goes under a note."""
        if self.words == "counted":
            return self.count(event.onset + one)
        if self.words == "lettered":
            if event.duration.denominator % 3 == 0:
                return "e" if event.duration < Fraction(2, 3) else "q"
            return min(_LETTERS, key=lambda k: abs(_LETTERS[k] - event.duration))
        return ""

    def count(self, at: Fraction) -> str:
        """The count at a time from the measure's first beat."""
        number, rest = divmod(at, self.beat)
        part = rest / self.beat
        if part == 0:
            return str(int(number) + 1)
        if self.beat == Fraction(3, 2):
            return {Fraction(1, 3): self.and_, Fraction(2, 3): "a"}.get(part, "")
        return {
            Fraction(1, 4): "e",
            Fraction(1, 2): self.and_,
            Fraction(3, 4): "a",
            Fraction(1, 3): self.and_,
            Fraction(2, 3): "a",
        }.get(part, "")

    def first(self, measure: ArrangedMeasure) -> Fraction:
        """The time that a measure's counts start from."""
        missing = self.tune.meter.length - measure.length
        late = measure.kind is MeasureKind.PICKUP and missing > 0 and not self.from_one
        return missing if late else Fraction(0)


def _bar(left: ArrangedMeasure | None, right: ArrangedMeasure | None) -> str:
    """A bar as Ivy types it."""
    ends = left is not None and left.right is Bar.REPEAT_END
    starts = (right is not None and right.left is Bar.REPEAT_START) or (
        left is not None and left.right is Bar.REPEAT_START
    )
    double = (left is not None and left.right is Bar.DOUBLE) or (
        left is not None and right is not None and right.left is Bar.DOUBLE
    )
    if ends and starts:
        return ":|:"
    return (":" if ends else "") + ("||" if double and not ends else "|") + (":" if starts else "")


def _write(draft: _Draft, early: bool) -> list[str]:
    """Five rows of a measure."""
    rows = [["-"] * draft.width for _ in range(5)]
    before: tuple[int, Event] | None = None
    for column, event in zip(draft.columns, draft.measure.events, strict=False):
        for stroke in event.strokes:
            row = rows[stroke.string - 1]
            text = str(stroke.fret)
            row[column : column + len(text)] = text
            if stroke.link:
                at = column - 1
                if early and before is not None and before[1].width_in(stroke.string):
                    at = before[0] + before[1].width_in(stroke.string)
                row[at] = stroke.link
        before = column, event
    return ["".join(row) for row in rows]


def _under(words: list[tuple[int, str]], apart: bool) -> str:
    """The line under a system."""
    line = ""
    for column, word in words:
        if word:
            if line and (apart or len(word) > 1) and not line.endswith(" "):
                line += " "
            line += " " * (column - len(line)) + word
    return line


def _heading(tune: ArrangedTune, rng: random.Random) -> list[str]:
    """Ivy's heading, one line or two."""
    title = "the " + " ".join(rng.sample(_WORDS, 2))
    return rng.choice(
        (
            [f"{title} - tuning: {tune.tuning}, time: {tune.meter}"],
            [f"title: {title}", f"tuning: {tune.tuning}   time: {tune.meter}"],
            [title, f"Tuning: {tune.tuning}, {tune.meter} time"],
            [f"Title: {title.title()}  ({tune.meter} time)", f"tuning {tune.tuning}"],
            [f"Title: {title}", f"Time: {tune.meter} Tuning: {tune.tuning}"],
        )
    )


def _labels(tune: ArrangedTune, rng: random.Random) -> list[str]:
    """What stands before the rows, mostly nothing."""
    names = re.findall(r"[A-Ga-g][#b]?", tune.tuning)[::-1]
    if len(names) != 5 or rng.random() < 0.65:
        return [""] * 5
    longest = max(map(len, names))
    return [name.lower().ljust(longest) for name in names]


def type_tune(tune: ArrangedTune, style: str, rng: random.Random) -> TypedTune:
    """Type a tune as Ivy would."""
    lines = _heading(tune, rng)
    labels = _labels(tune, rng)
    mood = _Mood(tune, style, rng)
    lines += [""] * rng.choice((1, 1, 1, 2))
    open_left = not any(labels) and rng.random() < 0.2
    limit = rng.choice((50, 60, 60, 70, 78))
    most = rng.choice((2, 3, 4, 4, 5, 6))
    parts = rng.random() < 0.15
    found: list[TypedMeasure] = []

    i = 0
    while i < len(tune.measures):
        columns = Fraction(mood.columns)
        if mood.loose and rng.random() < 0.4:
            columns *= Fraction(rng.choice((3, 3, 5, 6)), 4)
            columns = max(columns, Fraction(3))
        drafts: list[_Draft] = []
        total = 0
        quota = max(1, most + rng.choice((0, 0, 0, -1, 1)))
        while i + len(drafts) < len(tune.measures) and len(drafts) < quota:
            measure = tune.measures[i + len(drafts)]
            one = mood.first(measure)
            words = [mood.word(measure, event, one) for event in measure.events]
            if mood.timeless:
                draft = mood.in_no_time(measure, words)
            elif mood.loose:
                draft = mood.in_haste(measure, columns, words)
            else:
                draft = mood.in_time(measure, columns, words)[0]
            total += draft.width + 1
            if drafts and total > limit:
                break
            if drafts and measure.left is Bar.REPEAT_START and rng.random() < 0.5:
                break
            drafts.append(draft)
        if parts and tune.measures[i].left is Bar.REPEAT_START:
            lines.append("A part" if i == 0 else "next part")

        opening = _bar(None, drafts[0].measure)
        if open_left and opening == "|":
            opening = ""
        rows = [label + opening for label in labels]
        words_at: list[tuple[int, str]] = []
        slide = 0
        if mood.words and rng.random() < 0.25:
            slide = -len(rows[0]) if rng.random() < 0.5 else rng.choice((-1, 1, 2))
            slide = max(-2, slide)
        for k, draft in enumerate(drafts):
            start, measure = len(rows[0]), draft.measure
            for j, (column, event) in enumerate(zip(draft.columns, measure.events, strict=False)):
                words_at.append((start + column + slide, draft.words[j]))
                if mood.words == "counted":
                    stop = (
                        measure.events[j + 1].onset
                        if j + 1 < len(measure.events)
                        else measure.length
                    )
                    end = draft.columns[j + 1] if j + 1 < len(measure.events) else draft.width
                    one = mood.first(measure)
                    number = (event.onset + one) // mood.beat + 1
                    silent = number * mood.beat - one
                    if silent < stop and end - column >= 4 and rng.random() < 0.5:
                        words_at.append(
                            (start + (column + end) // 2 + slide, mood.count(number * mood.beat))
                        )
                if mood.words and event.width > 1 and rng.random() < 0.15:
                    slide = max(-2, slide - 1)
            if mood.words and rng.random() < 0.1:
                slide = 0 if slide else rng.choice((-1, 1))
            found.append(
                TypedMeasure(
                    measure.length,
                    tuple(event.onset for event in measure.events),
                    tuple(event.duration for event in measure.events),
                    tuple(
                        (len(lines) + min(s.string for s in event.strokes), start + column + 1)
                        for column, event in zip(draft.columns, measure.events, strict=False)
                    ),
                    measure.kind,
                )
            )
            last = k + 1 == len(drafts)
            bar = _bar(measure, None if last else drafts[k + 1].measure)
            if (
                last
                and bar == "|"
                and i + k + 1 < len(tune.measures)
                and (tune.measures[i + k + 1].left is Bar.DOUBLE)
            ):
                bar = "||"
            rows = [
                row + text + bar
                for row, text in zip(rows, _write(draft, mood.early_sign), strict=False)
            ]
        lines += rows
        if mood.words:
            lines.append(_under(words_at, mood.words == "counted"))
        lines.append("")
        i += len(drafts)
    return TypedTune("\n".join(lines), tune.meter, tuple(found))
