"""Walks on the bass string from one place on the neck to the next.

Where the hand moves far between two chords, and the thumb's last strokes before it carry no
melody, they step into the thumb's next note: by the scale of the key, or fret by fret. The thumb
strikes what it struck; only its string and fret change.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from rollstave import Event, Key, Note, Score, Setup
from rollstave_arranging.drone import tonic_of
from rollstave_arranging.flow import At, NoteAt
from rollstave_arranging.held import Shape
from rollstave_arranging.neck import spots_of
from rollstave_arranging.spans import Span

_FAR = 3  # frets that the hand moves, from which on it walks
_BASS = (4, 3)
_SCALES = {True: (0, 2, 3, 5, 7, 8, 10), False: (0, 2, 4, 5, 7, 9, 11)}


def walks(
    score: Score,
    spans: Sequence[Span],
    shapes: Sequence[Shape | None],
    melody: frozenset[NoteAt],
    changed: Mapping[At, Event],
    *,
    chromatic: bool,
) -> dict[At, Event]:
    """The events in which a walk goes, with its notes."""
    found: dict[At, Event] = {}
    pairs = zip(spans, spans[1:], shapes, shapes[1:], strict=False)
    for span, after, here, there in pairs:
        if here is None or there is None or abs(there.low - here.low) < _FAR:
            continue
        target = _first_bass(after, changed, score.setup)
        strokes = _free_strokes(span, melody, changed)
        if target is None or not strokes:
            continue
        up = there.low > here.low
        key = score.keys[span.moments[0].measure.index]
        steps = _steps(target, len(strokes), key, up=up, chromatic=chromatic)
        walked = _placed(strokes, steps, here, there, score.setup, changed)
        found |= walked
    return found


def _first_bass(span: Span, changed: Mapping[At, Event], setup: Setup) -> int | None:
    """The pitch that the thumb begins the next chord with, if it does so on a bass string."""
    first = span.moments[0]
    event = changed.get(first.at, first.event)
    bass = [n for n in event.notes if n.string in _BASS and n.fret is not None]
    return setup.midi(bass[0].string, bass[0].fret or 0) if bass else None


def _free_strokes(
    span: Span, melody: frozenset[NoteAt], changed: Mapping[At, Event]
) -> list[tuple[At, Note]]:
    """The thumb's last strokes on a bass string, up to two, that carry no melody."""
    found: list[tuple[At, Note]] = []
    half = span.moments[0].measure.length / 2
    for moment in reversed(span.moments):
        event = changed.get(moment.at, moment.event)
        bass = [n for n in event.notes if n.string in _BASS]
        if moment.event.onset < half or any(at[:2] == moment.at for at in melody):
            break
        if len(event.notes) == 1 and bass and bass[0].link is None:
            found.append((moment.at, bass[0]))
        if len(found) == 2:
            break
    return found[::-1]


def _steps(target: int, count: int, key: Key, *, up: bool, chromatic: bool) -> list[int]:
    """So many pitches that lead into a target, from below or from above."""
    minor = key.mode in ("minor", "aeolian", "dorian", "phrygian", "locrian")
    scale = {(tonic_of(key) + step) % 12 for step in _SCALES[minor]}
    found: list[int] = []
    at = target
    while len(found) < count:
        at += -1 if up else 1
        if chromatic or at % 12 in scale:
            found.append(at)
    return found[::-1]


def _placed(
    strokes: Sequence[tuple[At, Note]],
    steps: Sequence[int],
    here: Shape,
    there: Shape,
    setup: Setup,
    changed: Mapping[At, Event],
) -> dict[At, Event]:
    """The walk on the bass strings, where the hand reaches it from the one shape or the other."""
    found: dict[At, Event] = {}
    for (at, note), midi in zip(strokes, steps, strict=True):
        spots = [s for s in spots_of(midi, setup) if s[0] in _BASS and not s[2]]
        spots = [s for s in spots if _near(s[1], here, there)]
        if not spots:
            return {}
        middle = (here.low + there.low) / 2
        string, fret, _ = min(spots, key=lambda s: (abs(s[1] - middle), s))
        event = changed[at]
        new = replace(note, string=string, fret=fret, left_finger=None)
        found[at] = replace(event, notes=(new,))
    return found


def _near(fret: int, here: Shape, there: Shape) -> bool:
    """True for an open string, and for a fret that the hand covers on its way."""
    low, high = min(here.low, there.low) - 2, max(here.high, there.high) + 1
    return fret == 0 or low <= fret <= high
