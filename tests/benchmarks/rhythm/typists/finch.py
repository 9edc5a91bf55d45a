"""Orla Finch, who typed the handouts of the music school of Larkspur Ferry (all invented).

She was the school's secretary for twenty-two years, learned to type on a machine with a bell, and
types tab as she typed letters: headings one under the other, labels before the rows, the bell at
76 columns, a fresh system for every part. Her habits:

- Labels are the strings' letters, now and then all in capitals; a sharp or flat widens all five.
  She numbers measures or heads the parts ("A part") in some tunes.
- Even: at least two columns for the shortest usual note, one or two dashes after the bar line and
  perhaps one before the next; a triplet is rounded down to her columns. A measure too busy for
  the spacing of its tune is spread to two or three times as much, alone.
- Pushed: an older typewriter habit. The sign or second digit is put in and all rows move on.
- Sloppy is Orla on a Friday afternoon: rare slips, a measure set tighter where the bell is near,
  a system typed with other spacing because she took it over from another sheet.
- Squeezed: one or two dashes between all notes, measured by the eye for the number, not the time.
  In some tunes a half note gets a dash more, not reliably.
- Counts stand exactly under their notes. 2/2 is counted in four, 6/8 in six, a pickup by the
  last counts of its measure. In some tunes she counts silent beats too and makes room for them.
- Letters: durations no single letter can name become two with a plus (h+e), a triplet's notes
  a 3 each, thirty-seconds a t. She makes room so that letters never run together.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from fractions import Fraction
from math import floor

from ..model import (
    ArrangedMeasure,
    ArrangedTune,
    Bar,
    Event,
    MeasureKind,
    Meter,
    TuneKind,
    TypedMeasure,
    TypedTune,
)

BELL = 76

_FIRST = (
    "Willow", "Parson", "Heron", "Miller", "Copper", "Lantern", "Ferryman", "Orchard", "Quarry",
    "Sexton", "Briar", "Tanner", "Weir", "Hollow", "Marigold", "Saddler", "Plover", "Chandler",
)  # fmt: skip
_SECOND = (
    "Reel", "Waltz", "Lane", "Farewell", "Morning", "Bend", "Fancy", "Hornpipe", "on the Weir",
    "Crossing", "Wedding", "in the Rain", "Quickstep", "Landing",
)  # fmt: skip

_LETTERS: dict[Fraction, str] = {
    Fraction(6): "w.",
    Fraction(4): "w",
    Fraction(3): "h.",
    Fraction(2): "h",
    Fraction(3, 2): "q.",
    Fraction(1): "q",
    Fraction(3, 4): "e.",
    Fraction(1, 2): "e",
    Fraction(3, 8): "s.",
    Fraction(1, 4): "s",
    Fraction(1, 8): "t",
}


@dataclass
class _Habits:
    """What she settled on for one tune."""

    columns: int  # per quarter note, in rows that show time
    after: int  # dashes after a bar line
    before: int  # dashes before a bar line
    dashes: int  # between notes, where time is not shown
    eats: bool  # squeezed: a wide fret uses up its dashes
    long_dash: float  # squeezed: how often a long note gets a dash more
    rows: str  # even, pushed, sloppy or squeezed
    marks: str  # "", counts or letters
    silent: bool  # count beats on which nothing is struck
    per_line: int
    parts: bool
    part_heads: bool
    numbers: bool
    doubled: bool  # ||: and :||
    closing: str
    labels: tuple[str, ...]


@dataclass
class _Cell:
    """A measure laid out: the columns of its notes, its width, the marks under it."""

    cols: list[int]
    width: int
    marks: list[tuple[int, str]]


def _label_names(tuning: str) -> list[str]:
    names: list[str] = []
    for char in tuning:
        if char == "#" or (char == "b" and names):
            names[-1] += char
        else:
            names.append(char)
    return names[::-1]


def _settle(wanted: list[int], events: tuple[Event, ...]) -> list[int]:
    """Move notes right, and all after them, where they would run into what stands before."""
    cols: list[int] = []
    ends = [-1] * 6
    last_end = 0
    shift = 0
    for want, event in zip(wanted, events, strict=False):
        low = last_end
        if event.linked:
            low = last_end + 1
        for stroke in event.strokes:
            if ends[stroke.string] >= 0:
                low = max(low, ends[stroke.string] + 1)
        col = max(want + shift, low)
        shift = col - want
        cols.append(col)
        last_end = col + event.width
        for stroke in event.strokes:
            ends[stroke.string] = col + len(str(stroke.fret))
    return cols


def _pushes(events: tuple[Event, ...]) -> tuple[list[int], int]:
    """How far signs and second digits push each note, and the end of the measure."""
    total = 0
    each: list[int] = []
    for event in events:
        total += event.linked
        each.append(total)
        total += event.width - 1
    return each, total


def _is_triplet(value: Fraction) -> bool:
    return value.denominator % 3 == 0


def _suits(measure: ArrangedMeasure, columns: int, after: int, before: int, pushed: bool) -> bool:
    """Whether her exact habit can write this measure with so many columns for a quarter."""
    if measure.length * columns > 66:
        return False
    wanted: list[int] = []
    pushes, total = _pushes(measure.events)
    for event, push in zip(measure.events, pushes, strict=False):
        at = event.onset * columns
        if at.denominator != 1 and not _is_triplet(event.onset):
            return False
        wanted.append(after + floor(at) + (push if pushed else 0))
    if _settle(wanted, measure.events) != wanted:
        return False
    width = after + measure.length * columns + before + (total if pushed else 0)
    if width.denominator != 1 and not _is_triplet(width):
        return False
    return not wanted or wanted[-1] + measure.events[-1].width <= width


def _choose_columns(
    tune: ArrangedTune, after: int, before: int, rows: str, rng: random.Random
) -> int:
    weights = {4: 50, 8: 30, 6: 20, 2: 3}
    order = sorted(weights, key=lambda c: rng.random() ** (1 / weights[c]), reverse=True)
    order += [12, 16, 24, 32]
    gaps = sorted(e.duration for m in tune.measures for e in m.events) or [Fraction(1, 2)]
    usual = gaps[len(gaps) // 12]
    for columns in order:
        if usual * columns < 2 and columns < 12:
            continue
        suited = sum(_suits(m, columns, after, before, rows == "pushed") for m in tune.measures)
        if suited >= 0.85 * len(tune.measures):
            return columns
    return 8 if usual < Fraction(1, 2) else 4


def _decide(tune: ArrangedTune, style: str, rng: random.Random) -> _Habits:
    marks = {"counted": "counts", "lettered": "letters"}.get(style, "")
    rows = style if not marks else rng.choices(("squeezed", "sloppy"), (65, 35))[0]
    after = rng.choices((1, 2, 0), (75, 15, 10))[0]
    if after == 0 and any(m.events and m.events[0].linked for m in tune.measures):
        after = 1
    before = rng.choices((0, 1), (70, 30))[0]
    names = _label_names(tune.tuning)
    look = rng.choices(("tuning", "capitals", "none"), (75, 15, 10))[0]
    if look == "capitals":
        names = [n[0].upper() + n[1:] for n in names]
    wide = max(map(len, names))
    labels = tuple("" if look == "none" else n.ljust(wide) for n in names)
    parts = rng.random() < 0.7
    return _Habits(
        columns=_choose_columns(tune, after, before, rows, rng),
        after=after,
        before=before,
        dashes=rng.choices((1, 2, 3), (55, 40, 5))[0],
        eats=rng.random() < 0.4,
        long_dash=rng.choice((0.0, 0.0, 0.3, 0.6)),
        rows=rows,
        marks=marks,
        silent=rng.random() < 0.45,
        per_line=rng.choices((2, 3, 4), (25, 15, 60))[0],
        parts=parts,
        part_heads=parts and rng.random() < 0.4,
        numbers=rng.random() < 0.2,
        doubled=rng.random() < 0.35,
        closing=rng.choices(("||", "|"), (60, 40))[0],
        labels=labels,
    )


def _letter(duration: Fraction) -> str:
    if duration in _LETTERS:
        return _LETTERS[duration]
    if _is_triplet(duration):
        return "3"
    first = max((d for d in _LETTERS if d < duration), default=None)
    if first is None:
        return "t"
    rest = duration - first
    if rest in _LETTERS:
        return f"{_LETTERS[first]}+{_LETTERS[rest]}"
    return _LETTERS[first]


def _count(at: Fraction, meter: Meter) -> str:
    """Her count for a moment of a full measure."""
    beat = Fraction(1, 2) if meter.unit == 8 else Fraction(1)
    number, inside = divmod(at / beat, 1)
    if inside == 0:
        return str(number + 1)
    words = {
        Fraction(1, 2): "&",
        Fraction(1, 4): "e",
        Fraction(3, 4): "a",
        Fraction(1, 3): "&",
        Fraction(2, 3): "a",
    }
    return words.get(inside, "")


def _silent_beats(start: Fraction, end: Fraction, origin: Fraction, meter: Meter) -> list[Fraction]:
    """Beats between two moments of a measure, where nothing is struck."""
    beat = Fraction(1, 2) if meter.unit == 8 else Fraction(1)
    found: list[Fraction] = []
    step = floor((start + origin) / beat) + 1
    while step * beat - origin < end:
        found.append(step * beat - origin)
        step += 1
    return found


def _lay(
    measure: ArrangedMeasure, tune: ArrangedTune, habits: _Habits, spacing: int, rng: random.Random
) -> _Cell:
    """One measure, as she sets it with the spacing of this system."""
    events = measure.events
    counted = habits.marks == "counts"
    pickup = measure.kind is MeasureKind.PICKUP
    origin = tune.meter.length - measure.length if pickup else Fraction(0)
    origin = max(origin, Fraction(0))
    marks: list[tuple[int, str]] = []
    after, before = habits.after, habits.before
    pushes, total = _pushes(events)

    if habits.rows in ("even", "pushed"):
        push = habits.rows == "pushed"
        for wider in (spacing, 2 * spacing, 3 * spacing, 8, 12, 16, 24, 32):
            if wider >= spacing and _suits(measure, wider, after, before, push):
                spacing = wider
                break
        wanted = [
            after + floor(e.onset * spacing) + (p if push else 0)
            for e, p in zip(events, pushes, strict=False)
        ]
        cols = _settle(wanted, events)
        width = after + floor(measure.length * spacing) + before + (total if push else 0)
        if cols:
            width += cols[-1] - wanted[-1]
    elif habits.rows == "sloppy":
        scale = Fraction(spacing)
        if rng.random() < 0.12:
            scale *= rng.choice((Fraction(3, 4), Fraction(5, 6), Fraction(7, 6)))
        if rng.random() < 0.10:
            after = rng.choice((0, after + 1))
        wanted = []
        slip = 0
        for event, _p in zip(events, pushes, strict=False):
            if wanted and rng.random() < 0.07:
                slip += rng.choice((-1, 1, 1))
            wanted.append(after + floor(event.onset * scale) + slip)
        if rng.random() < 0.5:  # in this measure wide frets push
            wanted = [w + p for w, p in zip(wanted, pushes, strict=False)]
            slip += total
        cols = _settle(wanted, events)
        width = after + floor(measure.length * scale) + before + slip
        if cols:
            width += cols[-1] - wanted[-1]
        if rng.random() < 0.08:
            width -= 1
    else:
        dashes = spacing
        wanted = []
        at = after
        for index, event in enumerate(events):
            if event.linked and not index:
                at = max(at, 1)
            wanted.append(at)
            step = dashes + (1 if habits.eats else event.width)
            step = max(step, event.width)
            ahead = events[index + 1].onset if index + 1 < len(events) else measure.length
            if counted and habits.silent:
                step += (dashes + 1) * len(_silent_beats(event.onset, ahead, origin, tune.meter))
            if habits.marks == "letters":
                step = max(step, len(_letter(event.duration)) + 1)
            elif event.duration >= 2 and rng.random() < habits.long_dash:
                step += 1
            if rng.random() < 0.03:
                step += 1
            at += step
        cols = _settle(wanted, events)
        width = at + (cols[-1] - wanted[-1] if cols else 2) + before

    if habits.marks == "letters":
        # Make room under the rows, also where they show time.
        for index in range(1, len(cols)):
            lack = cols[index - 1] + len(_letter(events[index - 1].duration)) - cols[index]
            if lack > 0:
                cols[index:] = [c + lack for c in cols[index:]]
                width += lack
        if cols:
            width = max(width, cols[-1] + len(_letter(events[-1].duration)))
    if cols:
        width = max(width, cols[-1] + events[-1].width)
    width = max(width, 1)

    for index, (event, col) in enumerate(zip(events, cols, strict=False)):
        if habits.marks == "letters":
            marks.append((col, _letter(event.duration)))
        elif counted:
            if word := _count(event.onset + origin, tune.meter):
                marks.append((col, word))
            if habits.silent:
                last = index + 1 == len(events)
                ahead = measure.length if last else events[index + 1].onset
                stop = width if last else cols[index + 1]
                silent = _silent_beats(event.onset, ahead, origin, tune.meter)
                for beat in silent:
                    share = (beat - event.onset) / (ahead - event.onset)
                    if habits.rows == "squeezed":
                        share = Fraction(silent.index(beat) + 1, len(silent) + 1)
                    where = col + floor(share * (stop - col))
                    latest = marks[-1][0] if marks else -2
                    if where > latest + 1 and where + 1 < stop + last:
                        marks.append((where, _count(beat + origin, tune.meter)))
    return _Cell(cols, width, marks)


def _bar_inside(right: Bar, left: Bar, doubled: bool) -> str:
    both = {right, left}
    if Bar.REPEAT_END in both and Bar.REPEAT_START in both:
        return ":||:" if doubled else ":|:"
    if Bar.REPEAT_END in both:
        return ":||" if doubled else ":|"
    if Bar.REPEAT_START in both:
        return "||:" if doubled else "|:"
    return "||" if Bar.DOUBLE in both else "|"


def _bar_first(right: Bar, left: Bar, doubled: bool) -> str:
    if Bar.REPEAT_START in (right, left):
        return "||:" if doubled else "|:"
    return "||" if left is Bar.DOUBLE and right is not Bar.DOUBLE else "|"


def _bar_last(right: Bar, left: Bar, doubled: bool) -> str:
    if Bar.REPEAT_END in (right, left):
        return ":||" if doubled else ":|"
    return "||" if right is Bar.DOUBLE else "|"


def _draw(cell: _Cell, events: tuple[Event, ...]) -> list[str]:
    rows = [["-"] * cell.width for _ in range(5)]
    for col, event in zip(cell.cols, events, strict=False):
        for stroke in event.strokes:
            row = rows[stroke.string - 1]
            fret = str(stroke.fret)
            row[col : col + len(fret)] = fret
            if stroke.link is not None:
                row[col - 1] = stroke.link
    return ["".join(row) for row in rows]


def _heading(tune: ArrangedTune, habits: _Habits, rng: random.Random) -> list[str]:
    title = f"{rng.choice(_FIRST)} {rng.choice(_SECOND)}"
    if tune.kind is TuneKind.ROLL and rng.random() < 0.4:
        title = f"{rng.choice(_FIRST)} Rolls"
    title = rng.choice((title, title, title.upper()))
    word = rng.choice(("Time", "Time", "Time", "Meter", "Time signature"))
    lines = [f"Title: {title}", f"Tuning: {tune.tuning}", f"{word}: {tune.meter}"]
    if rng.random() < 0.3:
        lines[1:] = [f"Tuning: {tune.tuning}   {word}: {tune.meter}"]
    if rng.random() < 0.35:
        names = ("Typed by O. Finch", "Larkspur Ferry School of Music", "For: pupils")
        lines.append(rng.choice(names))
    if habits.marks == "letters" and rng.random() < 0.4:
        lines.append("Letters below: w whole, h half, q quarter, e eighth, s sixteenth")
    return [*lines, ""]


def type_tune(tune: ArrangedTune, style: str, rng: random.Random) -> TypedTune:
    """The tune as Orla Finch would type it, and the truth about it."""
    style = str(style)
    habits = _decide(tune, style, rng)
    lines = _heading(tune, habits, rng)
    truth: list[TypedMeasure] = []
    measures = tune.measures
    margin = len(habits.labels[0])
    part = 0
    at = 0
    number = 0
    while at < len(measures):
        spacing = habits.dashes if habits.rows == "squeezed" else habits.columns
        if habits.rows == "sloppy" and rng.random() < 0.2:
            spacing = max(2, spacing + rng.choice((-1, 1, 2)))
        before = measures[at - 1].right if at else Bar.SINGLE
        first = _bar_first(before, measures[at].left, habits.doubled)
        rows = [label + first for label in habits.labels]
        placed: list[list[int]] = []
        marks: list[tuple[int, str]] = []
        start = at
        full = 0
        first_number = number + 1
        while at < len(measures):
            measure = measures[at]
            cell = _lay(measure, tune, habits, spacing, rng)
            if at > start:
                begins = Bar.REPEAT_START in (measure.left, measures[at - 1].right)
                whole = measure.kind is not MeasureKind.COMPLEMENT
                if (
                    (habits.parts and begins)
                    or (full >= habits.per_line and whole)
                    or len(rows[0]) + cell.width + 4 > BELL
                ):
                    break
                bar = _bar_inside(measures[at - 1].right, measure.left, habits.doubled)
                rows = [row + bar for row in rows]
            left = len(rows[0])
            placed.append([left + col for col in cell.cols])
            marks += [(left + col, word) for col, word in cell.marks]
            rows = [
                row + drawn for row, drawn in zip(rows, _draw(cell, measure.events), strict=False)
            ]
            if measure.kind is not MeasureKind.PICKUP:
                full += 1
                number += measure.kind is not MeasureKind.COMPLEMENT
            at += 1
        if at < len(measures):
            last = _bar_last(measures[at - 1].right, measures[at].left, habits.doubled)
        else:
            last = _bar_last(measures[-1].right, Bar.SINGLE, habits.doubled)
            if last == "|":
                last = habits.closing
        rows = [row + last for row in rows]

        if start:
            lines.append("")
        if habits.part_heads and (not start or first.endswith(":")):
            lines.append(f"{chr(ord('A') + part)} part")
            part = min(part + 1, 25)
        if habits.numbers and start:
            lines.append(" " * margin + str(first_number))
        top = len(lines) + 1
        lines += rows
        if habits.marks:
            under = ""
            for col, word in marks:
                under = under.ljust(col) + word
            lines.append(under)
        for measure, cols in zip(measures[start:at], placed, strict=False):
            truth.append(
                TypedMeasure(
                    length=measure.length,
                    onsets=tuple(e.onset for e in measure.events),
                    durations=tuple(e.duration for e in measure.events),
                    places=tuple(
                        (top + min(s.string for s in e.strokes) - 1, col + 1)
                        for e, col in zip(measure.events, cols, strict=False)
                    ),
                    kind=measure.kind,
                )
            )
    return TypedTune("\n".join(lines) + "\n", tune.meter, tuple(truth))
