"""Heron, an invented typist of the music school of Larkspur Ferry: the neat one.

Heron was a land surveyor before teaching there and types tab as maps are lettered. Letters of
the strings stand before every system, flush, and a bar after them. Three or four columns an
eighth, two or three a sixteenth where a tune has any, one or two dashes after each bar, none or
one before it. Lines hold the same number of full measures all down the page; a pickup has no
part in that number. Headings are three lines, each with its colon. A wide fret eats the dashes
after it unless Heron is in a pushing year.

Slips are few and small: a dash too many or too few, a padding forgotten, a system begun at
another spacing after a pause. Where Heron does not show time, each note has the same two or
three dashes (sometimes one), a long note now and then one more, and in some tunes measures are
filled up with dashes before the bar to make the bars stand under each other. Counts are
complete: beats on which nothing is struck are counted too where there is room, 2/2 is counted
in two if that is fine enough. Letters are small; a length that no letter has gets the longest
letter that fits in it, a note of a triplet an ``e``.
"""

from __future__ import annotations

import math
import random
import re
from dataclasses import dataclass
from fractions import Fraction

from ..model import (
    ArrangedMeasure,
    ArrangedTune,
    Bar,
    Event,
    MeasureKind,
    Meter,
    TypedMeasure,
    TypedTune,
)

_FIRST = ("Larkspur", "Quiet", "Miller's", "Low Water", "Widow Tansy's", "Grey Mule", "Ferryman's")
_LAST = ("Reel", "March", "Jig", "Farewell", "Crossing", "Landing", "Favorite", "Waltz")
_LETTERS = (
    (Fraction(6), "w."),
    (Fraction(4), "w"),
    (Fraction(3), "h."),
    (Fraction(2), "h"),
    (Fraction(3, 2), "q."),
    (Fraction(1), "q"),
    (Fraction(3, 4), "e."),
    (Fraction(1, 2), "e"),
    (Fraction(3, 8), "s."),
)


@dataclass(slots=True)
class _Box:
    """A measure ready to type: its columns from the bar, its width, its foot line."""

    measure: ArrangedMeasure
    columns: list[int]
    width: int
    feet: list[str]


@dataclass(frozen=True, slots=True)
class _Habit:
    """What stays the same through a tune."""

    per_quarter: int
    after: int
    before: int
    push: bool
    dashes: int
    align: bool
    foot: str
    squeezed: bool
    sloppy: bool


def _room(earlier: Event, later: Event, foot: str) -> int:
    """The fewest columns from one note column to the next."""
    gap = max(1, earlier.width, 2 if later.linked else 1)
    for stroke in later.strokes:
        width = earlier.width_in(stroke.string)
        if width:
            gap = max(gap, width + 1)
    return max(gap, len(foot) + 1 if foot else 1)


def _exact(
    measure: ArrangedMeasure,
    feet: list[str],
    habit: _Habit,
    per_quarter: int,
    after: int,
    before: int,
) -> tuple[_Box, bool]:
    """A measure in proportion, and whether no note had to leave its place."""
    columns: list[int] = []
    pushed = 0
    clean = True
    for i, event in enumerate(measure.events):
        if habit.push and event.linked:
            pushed += 1
        want = after + pushed + round(event.onset * per_quarter)
        if i == 0:
            least = 1 if event.linked else 0
        else:
            least = columns[-1] + _room(measure.events[i - 1], event, feet[i - 1])
        clean = clean and want >= least
        columns.append(max(want, least))
        if habit.push:
            pushed += event.width - 1
    width = after + pushed + round(measure.length * per_quarter) + before
    if columns:
        least = columns[-1] + measure.events[-1].width
        clean = clean and width >= least
        width = max(width, least)
    return _Box(measure, columns, max(width, 1), feet), clean


def _slipped(box: _Box, rng: random.Random) -> None:
    """Heron's few slips, on a measure drawn exactly."""
    events, shift = box.measure.events, 0
    columns: list[int] = []
    for i, column in enumerate(box.columns):
        if i and rng.random() < 0.09:
            shift += rng.choice((-1, 1))
        least = (
            (1 if events[i].linked else 0)
            if i == 0
            else (columns[-1] + _room(events[i - 1], events[i], box.feet[i - 1]))
        )
        columns.append(max(column + shift, least))
    width = box.width + shift + (rng.choice((-1, 1)) if rng.random() < 0.1 else 0)
    if columns:
        width = max(width, columns[-1] + events[-1].width)
    box.columns, box.width = columns, max(width, 1)


def _plain(
    measure: ArrangedMeasure, feet: list[str], habit: _Habit, shortest: Fraction, rng: random.Random
) -> _Box:
    """A measure in which time is not shown."""
    columns: list[int] = []
    after = habit.after if rng.random() < 0.95 else habit.after + 1
    for i, event in enumerate(measure.events):
        if i == 0:
            columns.append(max(after, 1 if event.linked else 0))
            continue
        earlier = measure.events[i - 1]
        step = habit.dashes + (earlier.width if habit.push else 1)
        if habit.push and event.linked:
            step += 1
        if earlier.duration >= 2 * shortest and rng.random() < 0.25:
            step += 1
        if rng.random() < 0.04:
            step += 1
        columns.append(columns[-1] + max(step, _room(earlier, event, feet[i - 1])))
    if columns:
        width = columns[-1] + measure.events[-1].width + max(habit.before, habit.dashes - 1)
        if rng.random() < 0.1:
            width += 1
    else:
        width = after + 4
    return _Box(measure, columns, width, feet)


def _beat(meter: Meter, fine: bool) -> Fraction:
    """The quarter notes that Heron counts as one."""
    if meter.unit == 2:
        return Fraction(1) if fine else Fraction(2)
    return Fraction(4, meter.unit)


def _count(at: Fraction, beat: Fraction) -> str:
    """The count at a time; empty if Heron has no word for it."""
    whole, part = divmod(at / beat, 1)
    words = {
        Fraction(0): str(int(whole) + 1),
        Fraction(1, 4): "e",
        Fraction(1, 2): "&",
        Fraction(3, 4): "a",
        Fraction(1, 3): "t",
        Fraction(2, 3): "l",
    }
    return words.get(Fraction(part), "")


def _letter(duration: Fraction) -> str:
    """The letter of a duration, or of the longest that fits in it."""
    if duration.denominator % 3 == 0:
        return "q" if duration >= Fraction(2, 3) else "e" if duration >= Fraction(1, 3) else "s"
    return next((name for length, name in _LETTERS if duration >= length), "s")


def _lead(tune: ArrangedTune, measure: ArrangedMeasure) -> Fraction:
    """Where in a full measure this one starts: a pickup is counted at its end."""
    short = tune.meter.length - measure.length
    return short if measure.kind is MeasureKind.PICKUP and short > 0 else Fraction(0)


def _joint(left: ArrangedMeasure | None, right: ArrangedMeasure | None) -> str:
    """The bar between two measures, either of which may be missing at an end of a line."""
    marks = {left.right if left else Bar.SINGLE, right.left if right else Bar.SINGLE}
    close, start = Bar.REPEAT_END in marks, Bar.REPEAT_START in marks
    core = "||" if Bar.DOUBLE in marks or (close and start) else "|"
    return (":" if close else "") + core + (":" if start else "")


def _rows(box: _Box) -> list[str]:
    """The five rows of a measure."""
    grid = [["-"] * box.width for _ in range(5)]
    for column, event in zip(box.columns, box.measure.events, strict=False):
        for stroke in event.strokes:
            row = grid[stroke.string - 1]
            for k, figure in enumerate(str(stroke.fret)):
                row[column + k] = figure
            if stroke.link:
                row[column - 1] = stroke.link
    return ["".join(row) for row in grid]


def _unstruck(
    box: _Box, beat: Fraction, lead: Fraction, words: list[tuple[int, str]], start: int
) -> list[tuple[int, str]]:
    """Counts of beats that nothing is struck on, where there is room between the others."""
    found: list[tuple[int, str]] = []
    events = box.measure.events
    for i, event in enumerate(events):
        end = events[i + 1].onset if i + 1 < len(events) else box.measure.length
        first = start + box.columns[i] + max(len(words[i][1]), 1)
        last = start + (box.columns[i + 1] if i + 1 < len(events) else box.width)
        silent: list[str] = []
        whole = math.floor((event.onset + lead) / beat) + 1
        while whole * beat - lead < end:
            silent.append(_count(whole * beat, beat))
            whole += 1
        if not silent:
            continue
        space = last - first
        if space < sum(len(word) + 1 for word in silent) + 1:
            continue
        pitch = space / (len(silent) + 1)
        for k, word in enumerate(silent):
            found.append((first + max(1 + 2 * k, round(pitch * (k + 1) - 0.5)), word))
    return found


def _foot_line(words: list[tuple[int, str]]) -> str:
    """Words at their columns; one that has no room goes as near as it can."""
    line = ""
    for column, word in sorted(words):
        if not word:
            continue
        if line and line[-1].isdigit() and word[0].isdigit():
            line += " "
        line = line.ljust(max(column, 0)) + word
    return line


def _system(
    boxes: list[_Box],
    follower: ArrangedMeasure | None,
    names: list[str],
    habit: _Habit,
    tune: ArrangedTune,
    beat: Fraction,
    above: int,
    rng: random.Random,
) -> tuple[list[str], list[TypedMeasure]]:
    """The lines of a system and the truth of its measures; ``above`` lines are typed already."""
    opening = _joint(None, boxes[0].measure)
    rows = [name + opening for name in names]
    truth: list[TypedMeasure] = []
    words: list[tuple[int, str]] = []
    drift = 0
    if habit.foot and rng.random() < 0.2:
        drift = rng.choice((-1, 1, 1))
    for i, box in enumerate(boxes):
        start, events = len(rows[0]), box.measure.events
        truth.append(
            TypedMeasure(
                box.measure.length,
                tuple(event.onset for event in events),
                tuple(event.duration for event in events),
                tuple(
                    (above + min(s.string for s in event.strokes), start + column + 1)
                    for column, event in zip(box.columns, events, strict=False)
                ),
                box.measure.kind,
            )
        )
        struck = [
            (start + column, word) for column, word in zip(box.columns, box.feet, strict=False)
        ]
        words += [(column + drift, word) for column, word in struck]
        if habit.foot == "counts":
            words += [
                (column + drift, word)
                for column, word in _unstruck(box, beat, _lead(tune, box.measure), struck, start)
            ]
        if habit.foot and rng.random() < 0.08:
            drift = max(-2, min(2, drift + rng.choice((-1, 1))))
        after = boxes[i + 1].measure if i + 1 < len(boxes) else None
        joint = _joint(box.measure, after)
        if after is None and follower is not None and follower.left is Bar.DOUBLE:
            joint = _joint(box.measure, None) if ":" in joint else "||"
        rows = [row + text + joint for row, text in zip(rows, _rows(box), strict=False)]
    if habit.foot:
        rows.append(_foot_line(words))
    return rows, truth


def _habit(tune: ArrangedTune, style: str, rng: random.Random) -> _Habit:
    """Choose the habits of a tune."""
    grid = 2
    for measure in tune.measures:
        for value in (measure.length, *(event.onset for event in measure.events)):
            grid = math.lcm(grid, value.denominator)
    if grid > 12:
        grid = 12
    columns = {2: (3, 3, 4, 4), 4: (2, 2, 3), 6: (1, 2)}.get(grid, (1,))
    chosen = rng.choice(columns) * grid
    after = rng.choice((1, 1, 1, 2))
    before = rng.choice((0, 0, 1))
    foot = {"counted": "counts", "lettered": "letters"}.get(style, "")
    sloppy = style == "sloppy" or (bool(foot) and rng.random() < 0.5)
    push = style == "pushed" or (style not in ("even", "pushed") and rng.random() < 0.4)
    dashes = rng.choice((2, 2, 2, 3, 1))
    align = rng.random() < 0.25
    while True:
        habit = _Habit(
            chosen,
            after,
            before,
            push,
            dashes,
            align,
            foot,
            style == "squeezed" or (bool(foot) and not sloppy),
            sloppy,
        )
        exact = all(
            _exact(m, [""] * len(m.events), habit, chosen, after, before)[1] for m in tune.measures
        )
        if exact or style not in ("even", "pushed") or chosen + grid > 18:
            return habit
        chosen += grid


def type_tune(tune: ArrangedTune, style: str, rng: random.Random) -> TypedTune:
    """Type a tune as Heron would."""
    habit = _habit(tune, style, rng)
    fine = any(
        (event.onset * 2).denominator != 1 for measure in tune.measures for event in measure.events
    )
    beat = _beat(tune.meter, fine)
    shortest = min((e.duration for m in tune.measures for e in m.events), default=Fraction(1))

    letters = re.findall(r"[A-Ga-g][#b]?", tune.tuning)[::-1]
    wide = max((len(name) for name in letters), default=1)
    gap = rng.choice(("", " "))
    names = [name.ljust(wide) + gap for name in letters]
    if len(names) != 5:
        names = [""] * 5

    head = [f"Title: {rng.choice(_FIRST)} {rng.choice(_LAST)}"]
    if rng.random() < 0.3:
        head.append(f"From: Heron, Larkspur Ferry, lesson {rng.randint(2, 60)}")
    facts = [f"Tuning: {tune.tuning}", f"Time: {tune.meter}"]
    head += facts[::-1] if rng.random() < 0.3 else facts

    def foot(measure: ArrangedMeasure) -> list[str]:
        lead = _lead(tune, measure)
        if habit.foot == "counts":
            return [_count(event.onset + lead, beat) for event in measure.events]
        if habit.foot == "letters":
            return [_letter(event.duration) for event in measure.events]
        return [""] * len(measure.events)

    # How many full measures to a line, by the width of a usual one.
    tries = [
        _exact(m, foot(m), habit, habit.per_quarter, habit.after, habit.before)[0].width
        if not habit.squeezed
        else _plain(m, foot(m), habit, shortest, random.Random(1)).width
        for m in tune.measures
    ]
    usual = sorted(tries)[len(tries) // 2] + 1 if tries else 20
    limit = rng.choice((72, 76, 80))
    number = max(n for n in (1, 2, 3, 4) if n == 1 or n * usual <= limit)
    if number == 3 and rng.random() < 0.7:
        number = 2

    groups: list[list[ArrangedMeasure]] = [[]]
    full = 0
    for i, measure in enumerate(tune.measures):
        if full >= number and not (measure.kind is MeasureKind.COMPLEMENT and number < 4):
            groups.append([])
            full = 0
        groups[-1].append(measure)
        full += measure.kind is not MeasureKind.PICKUP or (
            i > 0 and measure.length * 2 > (tune.meter.length)
        )

    lines = [*head, ""]
    truth: list[TypedMeasure] = []
    for place, group in enumerate(groups):
        if not group:
            continue
        per_quarter = habit.per_quarter
        if habit.sloppy and rng.random() < 0.3:
            per_quarter = max(4, per_quarter + rng.choice((-2, -1, 1, 2)))
        boxes: list[_Box] = []
        for measure in group:
            feet = foot(measure)
            if habit.squeezed:
                boxes.append(_plain(measure, feet, habit, shortest, rng))
                continue
            after, before = habit.after, habit.before
            if habit.sloppy and rng.random() < 0.12:
                after = rng.choice((0, 0, after + 1))
            if habit.sloppy and rng.random() < 0.15:
                before = 1 - min(before, 1)
            tight = per_quarter
            if habit.sloppy and rng.random() < 0.1:
                tight = max(4, per_quarter + rng.choice((-1, 1)))
            box = _exact(measure, feet, habit, tight, after, before)[0]
            if habit.sloppy:
                _slipped(box, rng)
            boxes.append(box)
        if habit.squeezed and habit.align:
            widest = max(box.width for box in boxes)
            for box in boxes:
                if box.measure.kind is MeasureKind.FULL:
                    box.width = widest
        follower = groups[place + 1][0] if place + 1 < len(groups) else None
        typed, found = _system(boxes, follower, names, habit, tune, beat, len(lines), rng)
        lines += [*typed, ""]
        truth += found
    return TypedTune("\n".join(lines[:-1]) + "\n", tune.meter, tuple(truth))
