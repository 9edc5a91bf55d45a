"""What is typed of the hands under an event: fingers of both, and which way it is struck."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction

from rollstave.score.letters import finger_letters
from rollstave.score.records import Event, Finger, Measure, Score
from rollstave.vocabulary.hands import STROKES

Words = list[tuple[int, str]]
_HAND, _LEFT = "RH", "LH"  # what such lines are called at their left end
_PINCHED = 3  # letters of a pinch


def left_fingers(event: Event) -> str:
    """The finger numbers of the left hand as ``LH`` lines have them: the lowest row first, 0 for
    an open string between them."""
    if not any(n.left_finger for n in event.notes):
        return ""
    ordered = sorted(event.notes, key=lambda n: n.string, reverse=True)
    return "".join(str(n.left_finger or 0) for n in ordered)


def picking_letters(event: Event, letters: Mapping[Finger, str]) -> str:
    """The picking letters that the typist wrote for an event."""
    written = [letters[n.finger] for n in event.notes if n.finger and not n.inferred_finger]
    return "".join(dict.fromkeys(written))


def hand_words(score: Score, measure: Measure) -> tuple[tuple[tuple[Fraction, int], ...], ...]:
    """Where letters, strokes and numbers of a measure stand, and how much room they take."""
    letters = finger_letters(score)
    typed = (
        [(e.onset, picking_letters(e, letters)) for e in measure.events],
        [(e.onset, " " * (e.down_stroke or e.up_stroke)) for e in measure.events],
        [(e.onset, left_fingers(e)) for e in measure.events],
    )
    return tuple(tuple((onset, len(text) - 1) for onset, text in line if text) for line in typed)


def hand_lines(
    score: Score, system: Sequence[tuple[Measure, Callable[[Fraction], int]]]
) -> list[Words]:
    """The lines of the hands under a system, of whose measures each has its columns by onsets."""
    fingers = finger_letters(score)
    struck = any(getattr(e, row.field) for m, _ in system for e in m.events for row in STROKES)
    ways = _ways(score) if struck else []  # to ask all of a score for each system is quadratic
    letters: Words = []
    strokes: Words = []
    left: Words = []
    for measure, column in system:
        for event in measure.events:
            at = column(event.onset)
            if text := picking_letters(event, fingers):
                letters.append((at, text))
            strokes += [(at, text) for field, text in ways if getattr(event, field)]
            if text := left_fingers(event):
                left.append((at, text))
    if letters and fingers[Finger.THUMB] != Finger.THUMB.value and _needs_name(letters):
        letters.insert(0, (0, _HAND))
    return [strokes, letters, [(0, _LEFT), *left] if left else []]


def _ways(score: Score) -> list[tuple[str, str]]:
    """The field of an event for each way of a stroke and how it is typed: by its letter, or by its
    sign where the score has one way only, as a D by itself may name a chord."""
    events = [event for measure in score.measures for event in measure.events]
    both = all(any(getattr(event, row.field) for event in events) for row in STROKES)
    return [(row.field, row.letter if both else row.sign) for row in STROKES]


def _needs_name(letters: Words) -> bool:
    """True for letters that may be others: too few, or without a thumb."""
    said = "".join(text for _, text in letters)
    return len(said) <= _PINCHED or "p" not in said
