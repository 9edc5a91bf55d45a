"""Barnaby Gorse, ferry hand and Tuesday-night teacher at the music school of Larkspur Ferry
(all invented).

For twenty years he has mailed tab to his pupils, typed in the wheelhouse with two fingers. He
wants it short, he plays while he types, and he puts in what he hears. His habits:

- Mostly no labels, sometimes small letters or string numbers; in some tunes no bar line opens a
  line. One line above says everything ("Heron Reel - gDGBD tuning, 4/4 time"). He talks
  between systems. Repeat colons often on the second and fourth rows only. Rolls may have T I M
  under them.
- Even: tight, one column for an eighth if the tune allows it, no padding, or his "mirror" measure
  with one dash at each side (the last dash of the last note dropped). A measure with triplets
  gets twelve columns for a quarter, another that is too busy two or three times its tune's.
- Pushed: the same with signs and wide frets put in.
- Sloppy, his natural hand: a slip every few notes, long notes cut short, measures squeezed to
  finish a line, forgotten padding, other spacing after an evening's pause.
- Squeezed: one dash, sometimes none between different strings, sometimes two; more for a note he
  hears as long; fuller where his thumb rested on the key; the last measure filled to the margin.
- Counts (& or +) under what is struck, drifting a column or two, and now and then a beat that is
  not struck; 2/2 in two (1 e & a), 6/8 as 1 & a 2 & a. Some tunes count a pickup from 1.
- Letters drift less. He knows only w h q e s and dots; for other durations he takes the next
  shorter one, and for triplets what it looks like in his book (e or s). Capitals in some tunes.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from fractions import Fraction

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

_NAMES = (
    "Heron", "Mudlark", "Oxbow", "Old Capstan", "Peg Leg", "Low Water", "Tin Kettle", "Sally's",
    "Rope Walk", "Black Hen", "Cold Pipe", "Two Oars", "Nettle", "Drowned Dog", "Ferry Bell",
)  # fmt: skip
_ENDS = ("reel", "jig", "breakdown", "shuffle", "rag", "blues", "march", "tune", "stomp", "slide")
_TALK = (
    "(again)",
    "second part, same roll",
    "watch the thumb here",
    "take it slow",
    "-- high bit --",
    "ok now the ending is nearly the same as before",
    "B",
    "A",
)
_PLAIN = (
    ("w.", Fraction(6)), ("w", Fraction(4)), ("h.", Fraction(3)), ("h", Fraction(2)),
    ("q.", Fraction(3, 2)), ("q", Fraction(1)), ("e.", Fraction(3, 4)), ("e", Fraction(1, 2)),
    ("s.", Fraction(3, 8)), ("s", Fraction(1, 4)),
)  # fmt: skip
_FINGERS = {1: "M", 2: "I", 3: "T", 4: "T", 5: "T"}


class _Hand:
    """How he types this tune."""

    def __init__(self, tune: ArrangedTune, style: str, rng: random.Random) -> None:
        self.rng = rng
        self.meter: Meter = tune.meter
        self.under: str = style if style in ("counted", "lettered") else ""
        self.rows: str = rng.choice(("squeezed", "sloppy")) if self.under else style
        if not self.under and tune.kind is TuneKind.ROLL and rng.random() < 0.15:
            self.under = "fingers"
        self.lead: int = rng.choices((0, 1), (60, 40))[0]
        self.tail: int = rng.choices((0, -1, 1), (55, 35, 10))[0]
        if self.lead == 0 and self.tail == -1:
            self.lead = 1  # the mirror measure
        if self.rows in ("even", "pushed") and any(
            m.events and m.events[0].linked and not m.events[0].onset for m in tune.measures
        ):
            self.lead = max(self.lead, int(self.rows == "even"))
        self.per_quarter: int = self._spacing(tune)
        self.dashes: int = rng.choices((0, 1, 2), (15, 65, 20))[0]
        if self.under:
            self.dashes = max(1, self.dashes)
        self.keeps_dashes: bool = rng.random() < 0.7
        self.hears_long: float = rng.choice((0.0, 0.2, 0.35, 0.5))
        self.thumb_rests: float = rng.choice((0.03, 0.08, 0.12))
        self.fills_line: bool = self.rows == "squeezed" and rng.random() < 0.3
        self.a_line: int = rng.choices((2, 3, 4, 5), (40, 15, 35, 10))[0]
        self.margin: int = rng.choice((64, 70, 72))
        self.fill: str = rng.choices("-=.", (94, 3, 3))[0]
        self.and_sign: str = rng.choices("&+", (70, 30))[0]
        self.pickup_from_one: bool = rng.random() < 0.35
        self.drift: float = rng.choice((0.0, 0.1, 0.25))
        self.idle_beats: float = rng.choice((0.0, 0.0, 0.3, 0.7))
        self.big_letters: bool = rng.random() < 0.25
        self.opens: bool = rng.random() < 0.75
        self.two_colons: bool = rng.random() < 0.5
        self.thick: bool = rng.random() < 0.3
        self.end: str = rng.choices(("|", "||", "||"), (60, 30, 10))[0]
        self.talks: float = rng.choice((0.0, 0.0, 0.1, 0.25))
        look = rng.choices(("none", "small", "numbers", "tuning"), (60, 18, 12, 10))[0]
        names = _strings(tune.tuning)
        if look == "small":
            names = [n.lower() for n in names]
        elif look == "numbers":
            names = ["1", "2", "3", "4", "5"]
        elif look == "none":
            names = [""] * 5
        room = max(map(len, names))
        self.labels: list[str] = [n.rjust(room) for n in names]
        if look != "none":
            self.opens = True

    def _spacing(self, tune: ArrangedTune) -> int:
        """The first of his spacings, tight ones most often first, that can write the tune."""
        bag = [2] * 4 + [4] * 5 + [8] * 2 + [6] * 2
        self.rng.shuffle(bag)
        smooth = [m for m in tune.measures if not _has_triplets(m)]
        for columns in [*dict.fromkeys(bag), 8, 12, 16, 24, 32]:
            if sum(self._fits(m, columns) for m in smooth) >= 0.85 * len(smooth):
                return columns
        return 8

    def _fits(self, measure: ArrangedMeasure, columns: int) -> bool:
        if measure.length * columns > 66:
            return False
        places, width = self._timed(measure, columns)
        if any(p.denominator != 1 for p in places) or width.denominator != 1:
            return False
        flat = [int(p) for p in places]
        if _apart(flat, measure.events) != flat:
            return False
        return not flat or flat[-1] + measure.events[-1].width <= width

    def _timed(self, measure: ArrangedMeasure, columns: int) -> tuple[list[Fraction], Fraction]:
        """Where time alone (and pushing, if he pushes) puts the notes and the bar line."""
        pushed = 0
        places: list[Fraction] = []
        for event in measure.events:
            if self.rows == "pushed" and event.linked:
                pushed += 1
            places.append(self.lead + event.onset * columns + pushed)
            if self.rows == "pushed":
                pushed += event.width - 1
        return places, self.lead + measure.length * columns + pushed + self.tail

    def measure(self, measure: ArrangedMeasure, columns: int, dashes: int) -> tuple[list[int], int]:
        """The columns of a measure's notes, and its width."""
        events = measure.events
        if self.rows in ("even", "pushed"):
            found, width = self._exact(measure, columns)
        elif self.rows == "sloppy":
            found, width = self._rough(measure, columns)
        else:
            found, width = self._crowded(measure, dashes)
        if self.under == "lettered":
            for i in range(1, len(found)):
                lack = found[i - 1] + len(self._letter(events[i - 1])) - found[i]
                if lack > 0:
                    found[i:] = [c + lack for c in found[i:]]
                    width += lack
        if found:
            width = max(width, found[-1] + events[-1].width)
        return found, max(width, 2)

    def _exact(self, measure: ArrangedMeasure, columns: int) -> tuple[list[int], int]:
        if not self._fits(measure, columns):
            wider = [columns * 2, columns * 3, 8, 12, 16, 24, 32]
            if _has_triplets(measure):
                wider = [12, 24]
            columns = next((c for c in wider if self._fits(measure, c)), columns)
        places, width = self._timed(measure, columns)
        want = [int(p) for p in places]
        found = _apart(want, measure.events)
        return found, int(width) + (found[-1] - want[-1] if found else 0)

    def _rough(self, measure: ArrangedMeasure, columns: int) -> tuple[list[int], int]:
        rng = self.rng
        stretch = rng.choices((1.0, 0.75, 0.85, 1.15, 1.3), (64, 9, 9, 9, 9))[0]
        lead = self.lead
        if rng.random() < 0.2:
            lead = rng.choice((0, 0, 1, 2))
        pushing = rng.random() < 0.6
        cuts = rng.random() < 0.3  # long notes cut short in this measure
        at = float(lead)
        if measure.events:
            at += float(measure.events[0].onset) * columns * stretch
        want: list[int] = []
        for event in measure.events:
            if pushing and event.linked:
                at += 1
            want.append(int(at + 0.5))
            step = float(event.duration) * columns * stretch
            if cuts and event.duration >= 1:
                step *= 0.75
            if rng.random() < 0.14:
                step += rng.choice((-1, 1))
            at += max(step, 1.0)
            if pushing:
                at += event.width - 1
        found = _apart(want, measure.events)
        width = int(at + 0.5) + (found[-1] - want[-1] if found else 0)
        if not found:
            width = int(float(measure.length) * columns * stretch)
        if rng.random() < 0.2:
            width += rng.choice((-1, 1))
        return found, width + self.tail

    def _crowded(self, measure: ArrangedMeasure, dashes: int) -> tuple[list[int], int]:
        rng = self.rng
        at = rng.choices((self.lead, 0, 1), (80, 10, 10))[0]
        want: list[int] = []
        for event in measure.events:
            want.append(at)
            at += dashes + (event.width if self.keeps_dashes else 1)
            if event.duration >= 1 and rng.random() < self.hears_long:
                at += 1 if event.duration < 2 else rng.choice((1, 1, 2))
            if rng.random() < self.thumb_rests:
                at += 1
        found = _apart(want, measure.events)
        width = at + (found[-1] - want[-1] if found else 3)
        if dashes and found and rng.random() < 0.25:
            width -= 1
        elif rng.random() < 0.15:
            width += rng.choice((1, 1, 2))
        return found, width

    def marks(
        self, measure: ArrangedMeasure, found: Sequence[int], width: int
    ) -> list[tuple[int, str]]:
        """What he types under a measure, with the columns where it is meant to stand."""
        events = measure.events
        if self.under == "lettered":
            return [(c, self._letter(e)) for c, e in zip(found, events, strict=False)]
        if self.under == "fingers":
            return [
                (c, _FINGERS[e.strokes[-1].string])
                for c, e in zip(found, events, strict=False)
                if len(e.strokes) == 1 and not e.linked
            ]
        if self.under != "counted":
            return []
        origin = Fraction(0)
        if measure.kind is MeasureKind.PICKUP and not self.pickup_from_one:
            origin = max(Fraction(0), self.meter.length - measure.length)
        beat = self._beat()
        marks: list[tuple[int, str]] = []
        for i, (col, event) in enumerate(zip(found, events, strict=False)):
            if word := self._word(event.onset + origin):
                marks.append((col, word))
            end_col = found[i + 1] if i + 1 < len(found) else width
            end = events[i + 1].onset if i + 1 < len(found) else measure.length
            idle = ((event.onset + origin) // beat + 1) * beat - origin
            where = col
            while idle < end:
                where = where + max(2, (end_col - col) // 2)
                if where + 1 < end_col and self.rng.random() < self.idle_beats:
                    marks.append((where, self._word(idle + origin)))
                idle += beat
        return marks

    def _beat(self) -> Fraction:
        if self.meter.unit == 8 and self.meter.count % 3 == 0:
            return Fraction(3, 2)
        return Fraction(4, self.meter.unit)

    def _word(self, at: Fraction) -> str:
        beat = self._beat()
        number, inside = divmod(at / beat, 1)
        if inside == 0:
            return str(number + 1)
        if beat == Fraction(3, 2):
            return {Fraction(1, 3): self.and_sign, Fraction(2, 3): "a"}.get(inside, "")
        words = {Fraction(1, 4): "e", Fraction(1, 2): self.and_sign, Fraction(3, 4): "a"}
        return words.get(inside, "")

    def _letter(self, event: Event) -> str:
        duration = event.duration
        if duration.denominator % 3 == 0:
            duration *= Fraction(3, 2)
        letter = next((name for name, value in _PLAIN if value <= duration), "s")
        return letter.upper() if self.big_letters else letter

    def underline(self, marks: Sequence[tuple[int, str]]) -> str:
        """The line under a system; it drifts and is put right again."""
        drift = self.drift if self.under == "counted" else self.drift / 3
        off = 0
        line = ""
        for col, word in marks:
            if self.rng.random() < drift:
                off = self.rng.choice((-1, 1, 1, 2)) if not off else 0
            at = max(col + off, len(line) + (1 if off else 0), 0)
            if self.under == "counted" and line:
                at = max(at, len(line))
            line = line.ljust(at) + word
        return line

    def bar(self, right: Bar, left: Bar, where: str) -> list[str]:
        """A bar line in five rows: ``where`` is first, inside or last in its system."""
        pair = (right, left)
        start = Bar.REPEAT_START in pair and where != "last"
        stop = Bar.REPEAT_END in pair and where != "first"
        line = "|"
        if ((start or stop) and self.thick) or (
            not start and not stop and Bar.DOUBLE in pair and where != "first"
        ):
            line = "||"
        if where == "first" and not start and not self.opens:
            line = ""
        colon = [":"] * 5
        if self.two_colons:
            colon = [self.fill, ":", self.fill, ":", self.fill]
        return [(c if stop else "") + line + (c if start else "") for c in colon]


def _strings(tuning: str) -> list[str]:
    """The strings' letters from string 1 to string 5."""
    names: list[str] = []
    for i, char in enumerate(tuning):
        if char == "#" or (char == "b" and i):
            names[-1] += char
        else:
            names.append(char)
    return names[::-1]


def _has_triplets(measure: ArrangedMeasure) -> bool:
    return any(e.onset.denominator % 3 == 0 for e in measure.events)


def _apart(want: Sequence[int], events: Sequence[Event]) -> list[int]:
    """The wanted columns, moved right so that no fret or sign runs into another."""
    found: list[int] = []
    shift = 0
    for i, (col, event) in enumerate(zip(want, events, strict=False)):
        lowest = int(event.linked)
        if i:
            lowest = found[-1] + events[i - 1].width + event.linked
        for stroke in event.strokes:
            for back in range(i - 1, max(-1, i - 5), -1):
                if wide := events[back].width_in(stroke.string):
                    lowest = max(lowest, found[back] + wide + 1)
                    break
        place = max(col + shift, lowest)
        shift = place - col
        found.append(place)
    return found


def _rows(hand: _Hand, events: Sequence[Event], found: Sequence[int], width: int) -> list[str]:
    rows: list[str] = []
    for string in range(1, 6):
        row = hand.fill * width
        for event, col in zip(events, found, strict=False):
            for stroke in event.strokes:
                if stroke.string == string:
                    word = (stroke.link or "") + str(stroke.fret)
                    left = col - len(stroke.link or "")
                    row = row[:left] + word + row[left + len(word) :]
        rows.append(row)
    return rows


def _top(tune: ArrangedTune, hand: _Hand, rng: random.Random) -> list[str]:
    title = f"{rng.choice(_NAMES)} {rng.choice(_ENDS)}"
    if rng.random() < 0.5:
        title = title.lower()
    t, m = tune.tuning, tune.meter
    lines = rng.choice(
        (
            [f"Title: {title}   Tuning: {t}   Time: {m}"],
            [f"{title} - {t} tuning, {m} time"],
            [f"{title}", f"Tuning: {t}, Time: {m}"],
            [f"{title} (banjo, {m} time)", f"tuning {t}"],
            [f"Title: {title}", f"Tuning: {t}", f"Time: {m}"],
            [f"title: {title}", f"tuning: {t}, time: {m}"],
        )
    )
    lines = list(lines)
    if rng.random() < 0.25:
        greetings = ("from B. Gorse, the wheelhouse", "as I play it, Barnaby", "see you tuesday")
        lines.append(rng.choice(greetings))
    return [*lines, *[""] * rng.choice((1, 1, 2))]


def type_tune(tune: ArrangedTune, style: str, rng: random.Random) -> TypedTune:
    """The tune as Barnaby Gorse would type it, and the truth about it."""
    hand = _Hand(tune, str(style), rng)
    lines = _top(tune, hand, rng)
    measures = tune.measures
    truth: list[TypedMeasure] = []
    columns, dashes = hand.per_quarter, hand.dashes
    longest = 0
    i = 0
    while i < len(measures):
        if hand.rows == "sloppy" and rng.random() < 0.3:
            columns = max(2, hand.per_quarter + rng.choice((-1, 0, 1, 2)))
        if hand.rows == "squeezed" and rng.random() < 0.12:
            dashes = max(int(bool(hand.under)), hand.dashes + rng.choice((-1, 0, 1)))
        previous = measures[i - 1].right if i else Bar.SINGLE
        bars = hand.bar(previous, measures[i].left, "first")
        rows = [label + bar for label, bar in zip(hand.labels, bars, strict=False)]
        marks: list[tuple[int, str]] = []
        pending: list[list[int]] = []
        start = i
        counted = 0.0
        while i < len(measures):
            measure = measures[i]
            found, width = hand.measure(measure, columns, dashes)
            if i > start:
                bars = hand.bar(measures[i - 1].right, measure.left, "inside")
                if counted >= hand.a_line or len(rows[0]) + len(bars[0]) + width + 3 > hand.margin:
                    break
                rows = [row + bar for row, bar in zip(rows, bars, strict=False)]
            left = len(rows[0])
            counted += float(min(Fraction(1), measure.length / tune.meter.length))
            ends_line = i + 1 == len(measures) or counted >= hand.a_line
            if hand.fills_line and ends_line and 0 < longest - left - width - 1 <= 6:
                width = longest - left - 1
            pending.append([left + c for c in found])
            marks += [(left + c, word) for c, word in hand.marks(measure, found, width)]
            rows = [
                r + d for r, d in zip(rows, _rows(hand, measure.events, found, width), strict=False)
            ]
            i += 1
        following = measures[i].left if i < len(measures) else Bar.SINGLE
        bars = hand.bar(measures[i - 1].right, following, "last")
        if i == len(measures) and bars[0] == "|":
            bars = [hand.end] * 5
        rows = [row + bar for row, bar in zip(rows, bars, strict=False)]
        longest = max(longest, len(rows[0]))

        if start:
            lines += [""] * (1 if rng.random() < 0.92 else 2)
            if rng.random() < hand.talks:
                lines += [rng.choice(_TALK), *[""] * rng.choice((0, 1))]
        top = len(lines)
        lines += rows
        if hand.under:
            lines.append(hand.underline(marks))
        for measure, cols in zip(measures[start:i], pending, strict=False):
            places = tuple(
                (top + min(s.string for s in e.strokes), c + 1)
                for e, c in zip(measure.events, cols, strict=False)
            )
            truth.append(
                TypedMeasure(
                    measure.length,
                    tuple(e.onset for e in measure.events),
                    tuple(e.duration for e in measure.events),
                    places,
                    measure.kind,
                )
            )
    return TypedTune("\n".join(lines) + "\n", tune.meter, tuple(truth))
