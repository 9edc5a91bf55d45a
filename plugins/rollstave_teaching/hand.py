"""The right hand of a tune: its patterns, what they are called, where they break off.

A pattern is what the fingers do in a measure: when they strike, how long it lasts, and which
fingers. A note that a slur makes is part of the stroke before it. Which string a finger takes may
differ from measure to measure: the thumb carries the melody.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import partial

from msgspec import Struct

from rollstave import (
    Chart,
    Event,
    Exercise,
    Finger,
    Measure,
    NamedShape,
    Part,
    Score,
    Words,
    roll_of,
)
from rollstave_teaching.held import called, is_full, shapes_by_measure, strains, usable
from rollstave_teaching.measures import exercise, over, strokes_of
from rollstave_teaching.progression import chart_of, names_inferred
from rollstave_teaching.prose import words_of
from rollstave_teaching.wording import capital, in_words, listed, numbered

Stroke = tuple[Fraction, Fraction, str]
Pattern = tuple[Stroke, ...]
_MOST = 4  # patterns that are drilled; what is rarer is told as an exception. Ours
_SHORT, _FEW = 22, 3  # characters of a pattern that is a heading; strokes that are told singly
_OF_TUNE = 0.1  # the share of measures that a pattern has at least, where it is not the only one


class Roll(Struct, frozen=True):
    """A pattern of the right hand: the fingers in order, what it is called (empty: no name), the
    measures that have it, and the one that shows it best."""

    pattern: Pattern
    fingers: str
    name: str
    measures: tuple[Measure, ...]
    like: Measure
    number: int = 1

    @property
    def called(self) -> str:
        """``Alternating thumb roll``; without a name by its fingers, or where they are many by its
        number."""
        if self.name:
            return capital(self.name)
        short = len(self.fingers) <= _SHORT
        return f"The pattern {self.fingers}" if short else f"Pattern {self.number}"

    @property
    def told(self) -> str:
        """The fingers, or the strings where no finger is known; what is all alike is said once."""
        strokes = [stroke.replace("+", " and ") for stroke in self.fingers.split(" ")]
        words = " ".join(strokes)
        if len(strokes) > _FEW and len(set(strokes)) == 1:
            words = f"{strokes[0]}, {in_words(len(strokes))} times"
        return words if any(map(str.isalpha, self.fingers)) else f"strings {words}"


def pattern_of(measure: Measure) -> Pattern:
    """What the fingers of the right hand do in a measure."""
    return tuple((e.onset, e.duration, _fingers(e)) for e in strokes_of(measure))


def _fingers(event: Event) -> str:
    """``T``, ``I+M``; a brush and strings of no known finger by their numbers, a rest as a dash."""
    if not event.notes:
        return "-"
    if event.brush or len(event.notes) > 2:
        return "brush"
    notes = sorted(event.notes, key=lambda n: -n.string)
    return "+".join(n.finger.value if n.finger else str(n.string) for n in notes)


def rolls_of(score: Score) -> tuple[Roll, ...]:
    """The patterns of a tune, most used first. What is used but once, or seldom, is none unless
    all are."""
    full = [m for m in score.measures if is_full(score, m) and len(strokes_of(m)) > 1]
    counts = Counter(pattern_of(m) for m in full)
    if not counts:
        return ()
    least = min(max(2, round(_OF_TUNE * len(full))), max(counts.values()))
    ranked = [p for p, n in counts.most_common() if n >= least][:_MOST]
    return tuple(
        _roll(p, [m for m in full if pattern_of(m) == p], number)
        for number, p in enumerate(ranked, start=1)
    )


def _roll(pattern: Pattern, measures: Sequence[Measure], number: int) -> Roll:
    def strings(measure: Measure) -> tuple[tuple[int, ...], ...]:
        return tuple(tuple(n.string for n in e.notes) for e in strokes_of(measure))

    usual = Counter(strings(m) for m in measures).most_common(1)[0][0]
    like = next(m for m in measures if strings(m) == usual)
    named = next((use.name for m in measures if (use := roll_of(m)) is not None), "")
    fingers = [finger for _, _, finger in pattern]
    if _is_down_picked(fingers):
        named, fingers = "down-picked pattern", [_DOWN.get(f, f) for f in fingers]
    return Roll(
        pattern=pattern,
        fingers=" ".join(fingers),
        name=named,
        measures=tuple(measures),
        like=like,
        number=number,
    )


_DOWN = {"I": "note", "M": "note", "T": "thumb"}  # what the strokes of down-picking are called


def _is_down_picked(fingers: Sequence[str]) -> bool:
    """True for a note, a brush and the thumb, again and again (common practice)."""
    threes = [fingers[at : at + 3] for at in range(0, len(fingers), 3)]
    return bool(threes) and all(
        len(three) == 3 and three[0] in ("I", "M") and three[1:] == ["brush", "T"]
        for three in threes
    )


# The part of the lesson ---------------------------------------------------------------------------


def right_hand(score: Score) -> Part | None:
    """The rolls on open strings and on the first chord with fingers, and where the thumb starts."""
    rolls = rolls_of(score)
    if not rolls:
        return None
    blocks: list[Words | Exercise | Chart] = [*words_of(score, "right-hand")]
    blocks.append(Words(_counted(score, rolls)))
    if broken := _broken(score, rolls):
        blocks.append(Words(broken))
    blocks += _letters(score)
    for number, roll in enumerate(rolls):
        blocks += _exercises(score, roll, first=number == 0)
    blocks += _thumb(score)
    return Part(name="The right hand", blocks=tuple(blocks))


def _counted(score: Score, rolls: Sequence[Roll]) -> str:
    full = sum(is_full(score, m) for m in score.measures)
    told = []
    for roll in rolls:
        count = len(roll.measures)
        share = f"{count} of the {full} measures" if count < full else "every measure"
        what = f"the {roll.name} ({roll.told})" if roll.name else roll.told
        told.append(f"{what} in {share}")
    return f"The right hand plays {listed(told)}."


def _broken(score: Score, rolls: Sequence[Roll]) -> str:
    """Where the hand does something else."""
    known = {roll.pattern for roll in rolls}
    rest = [m for m in score.measures if pattern_of(m) not in known and any(m.events)]
    plucks = [m.number for m in rest if ends_on_plucks(m)]
    others = [m.number for m in rest if not ends_on_plucks(m)]
    told = []
    if plucks:
        ends = "ends" if len(plucks) == 1 else "end"
        told.append(f"{numbered(plucks)} {ends} on plucks of several strings")
    if others:
        goes = "goes" if len(others) == 1 else "go"
        told.append(f"{numbered(others)} {goes} otherwise: look there first")
    return f"It breaks off now and then: {'; '.join(told)}." if told else ""


def ends_on_plucks(measure: Measure) -> bool:
    """True if a measure ends with two or three strings at once, not brushed."""
    struck = [e for e in measure.events if e.notes]
    return bool(struck) and 2 <= len(struck[-1].notes) <= 3 and not struck[-1].brush


def _letters(score: Score) -> Iterator[Words]:
    notes = [n for m in score.measures for e in m.events for n in e.notes if n.finger is not None]
    inferred = sum(n.inferred_finger for n in notes)
    if inferred == len(notes) and notes:
        yield Words("The tab has no letters for the fingers; they are worked out.", inferred=True)
    elif inferred:
        yield Words("Letters in italics are worked out; the tab has none there.", inferred=True)


def _exercises(score: Score, roll: Roll, first: bool) -> Iterator[Exercise]:
    """A roll on open strings and on the first chord; the first roll says how to go about it."""
    count = f" Count it aloud, {_beats(score)}, until it runs by itself." if first else ""
    opened = over(roll.like, lambda string: (string, 0), "", 1)
    yield Exercise(
        name=f"{roll.called} on open strings",
        score=exercise(score, [opened]),
        why=f"{capital(roll.told)}.{count}",
    )
    shape = _first_stopped(score)
    if shape is None:
        return
    held = over(roll.like, partial(usable, score, shape), shape.name, 1)
    keep = "Hold the whole chord before the first stroke, and keep it down." if first else ""
    yield Exercise(name=f"The same on {called(shape)}", score=exercise(score, [held]), why=keep)


def _beats(score: Score) -> str:
    beats = score.meter.length / score.meter.beat
    return f"{in_words(int(beats))} to the measure" if beats.denominator == 1 else "slowly"


def _first_stopped(score: Score) -> NamedShape | None:
    """The first shape of the tune that the left hand does something for."""
    shapes = [shape for here in shapes_by_measure(score) for _, shape in here]
    return next((shape for shape in shapes if any(shape.frets)), None)


# Where the thumb starts ---------------------------------------------------------------------------


def thumb_starts(score: Score) -> dict[int, tuple[int, int]]:
    """String and fret of the thumb's first stroke on a long string, by the index of the measure."""
    short = score.setup.instrument.short_string
    found: dict[int, tuple[int, int]] = {}
    for measure in score.measures:
        for event in measure.events:
            for note in event.notes:
                long = short is None or note.string != short.string
                if note.finger is Finger.THUMB and long and note.fret is not None:
                    found.setdefault(measure.index, (note.string, note.fret))
    return found


def _thumb(score: Score) -> Iterator[Words | Chart]:
    starts = thumb_starts(score)
    rolled = sum(len(roll.measures) for roll in rolls_of(score))
    if min(len(starts), rolled) < len(score.measures) / 2:
        return  # no roll, or the thumb has the short string for itself: nothing to look up
    yield Words(
        "Where the thumb starts in each measure: its first stroke on a long string. In a roll "
        "the melody lies there most of the time."
    )
    if names_inferred(score):
        yield Words("The chord names are worked out from the notes.", inferred=True)
    for strain in strains(score):
        yield chart_of(score, strain, {i: _at(*where) for i, where in starts.items()})


def _at(string: int, fret: int) -> str:
    return f"string {string}, {f'fret {fret}' if fret else 'open'}"
