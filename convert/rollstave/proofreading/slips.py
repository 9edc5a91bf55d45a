"""Likely slips: a note that differs from the same measure elsewhere by one string or fret, and a
note foreign to the whole tune that nothing leads to.

The rules were chosen on the tabs of ``tests/benchmarks/proofreading``: a difference of any other
kind (a third, another rhythm) is nearly always meant.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from rollstave.api import Tune
from rollstave.proofreading.model import Mark
from rollstave.score.chords import chord_tones
from rollstave.score.model import ChordName, Measure, Note

_MAJOR = (0, 2, 4, 5, 7, 9, 11)
_FEWEST, _MOST = 5, 48  # notes of a measure that is compared with others
_NEAREST_FRETS = 2  # so far a finger slips on the same string
_RARER = 3  # a note at most a third as frequent as its counterpart is the odd one of two
_NOTES = 60  # so many notes show what scale a tune keeps to
_ORDER = 0.98  # share of notes that a scale must hold before one foreign note is odd

Struck = tuple[Fraction, int, int | None]  # onset, string, fret
Content = tuple[Struck, ...]


@dataclass(frozen=True, slots=True)
class _Scale:
    """The scale a tune keeps to, how often each pitch class sounds, and its share of all."""

    classes: frozenset[int]
    counts: Counter[int]
    share: float

    def foreign(self, note: Note) -> bool:
        return note.pitch.midi % 12 not in self.classes


def likely_slips(tune: Tune) -> Iterator[Mark]:
    measures = tune.score.measures
    scale = _scale(measures)
    marked: set[tuple[int, int]] = set()
    for mark in _differences(measures, scale):
        marked.add((mark.place.line, mark.place.column))
        yield mark
    for mark in _foreigners(measures, scale):
        if (mark.place.line, mark.place.column) not in marked:
            yield mark


def _scale(measures: Sequence[Measure]) -> _Scale:
    counts = Counter(n.pitch.midi % 12 for m in measures for e in m.events for n in e.notes)
    best = max(range(12), key=lambda tonic: sum(counts[(tonic + s) % 12] for s in _MAJOR))
    classes = frozenset((best + s) % 12 for s in _MAJOR)
    whole = sum(counts.values())
    return _Scale(classes, counts, sum(counts[c] for c in classes) / whole if whole else 0.0)


# Measures that are the same but for one note -------------------------------------------------


def _notes(measure: Measure) -> list[tuple[Fraction, Note]]:
    return [(event.onset, note) for event in measure.events for note in event.notes]


def _differences(measures: Sequence[Measure], scale: _Scale) -> Iterator[Mark]:
    notes = [_notes(m) for m in measures]
    contents: list[Content] = [tuple((o, n.string, n.fret) for o, n in ns) for ns in notes]
    times = Counter(contents)
    where = {content: index for index, content in reversed(list(enumerate(contents)))}
    # Each content under each form in which one note is hidden.
    hidden: dict[tuple[object, ...], list[tuple[Content, int]]] = defaultdict(list)
    compared = [c for c in times if _FEWEST <= len(c) <= _MOST]
    for content in compared:
        for index, key in enumerate(_hiding_one(content)):
            hidden[key].append((content, index))
    for content in compared:
        if times[content] > 1:
            continue
        index = where[content]
        found = _most_like_slip(content, hidden, times)
        if found is None:
            continue
        position, other = found
        onset, note = notes[index][position]
        twin = where[other]
        if _meant_by_chord(note, onset, measures[index], measures[twin]):
            continue
        if times[other] == 1 and not _odder(note, notes[twin][position][1], index > twin, scale):
            continue
        also = notes[twin][position][1].place if times[other] == 1 else None
        yield replace(_difference(note, other[position], twin, times[other]), also=also)


def _meant_by_chord(note: Note, onset: Fraction, measure: Measure, twin: Measure) -> bool:
    """True if another chord name stands over the note than in the twin, and it holds the note."""
    own, other = _chord_at(measure, onset), _chord_at(twin, onset)
    if own is None or (other is not None and own.text == other.text):
        return False
    tones = chord_tones(own)
    return tones is not None and note.pitch.midi % 12 in tones


def _chord_at(measure: Measure, onset: Fraction) -> ChordName | None:
    names = [c for c in measure.chords if c.onset <= onset and not c.inferred]
    return names[-1] if names else None


def _hiding_one(content: Content) -> list[tuple[object, ...]]:
    return [(*content[:i], struck[0], *content[i + 1 :]) for i, struck in enumerate(content)]


def _most_like_slip(
    content: Content,
    hidden: dict[tuple[object, ...], list[tuple[Content, int]]],
    times: Counter[Content],
) -> tuple[int, Content] | None:
    """The note by which a measure differs from another as a slip would have it, and the commonest
    such other measure."""
    best: tuple[int, int, Content] | None = None
    for position, key in enumerate(_hiding_one(content)):
        for other, at in hidden[key]:
            if other == content or not _one_slip(content[position], other[at]):
                continue
            if best is None or times[other] > best[0]:
                best = (times[other], position, other)
    return (best[1], best[2]) if best else None


def _one_slip(one: Struck, other: Struck) -> bool:
    """True for the same fret on the next string, or a neighbouring fret on the same string."""
    if one[2] is None or other[2] is None:
        return False
    if abs(one[1] - other[1]) == 1:
        return one[2] == other[2]
    return one[1] == other[1] and abs(one[2] - other[2]) <= _NEAREST_FRETS


def _odder(note: Note, twin: Note, later: bool, scale: _Scale) -> bool:
    """Of two measures that stand once each, the one with the much rarer note is the odd one, or
    with the same fret on two strings the later one."""
    mine, other = (scale.counts[n.pitch.midi % 12] for n in (note, twin))
    if note.string != twin.string and mine == other:
        return later
    return scale.foreign(note) or _RARER * mine <= other


def _difference(note: Note, usual: Struck, twin: int, times: int) -> Mark:
    elsewhere = f"measure {twin + 1}"
    if times > 1:
        elsewhere += f" and {times - 1} more like it"
    if note.string == usual[1]:
        message = f"fret {note.fret} stands here where {elsewhere} has fret {usual[2]}"
        mend = f"{usual[2]}"
    else:
        message = (
            f"this note is on string {note.string} where {elsewhere} has it on string {usual[1]}"
        )
        mend = f"{usual[2]} on string {usual[1]}"
    return Mark("slip", note.place, f"{message}, and all else is the same", mend)


# Notes foreign to the tune -------------------------------------------------------------------


def _foreigners(measures: Sequence[Measure], scale: _Scale) -> Iterator[Mark]:
    """A note outside the scale that sounds but once, and that no neighbour lies a semitone from:
    passing and leading notes always have one."""
    if sum(scale.counts.values()) < _NOTES or scale.share < _ORDER:
        return
    events = [e for m in measures for e in m.events if e.notes]
    heard = [[n.pitch.midi for n in e.notes] for e in events]
    for index, event in enumerate(events):
        for note in event.notes:
            midi = note.pitch.midi
            if not scale.foreign(note) or scale.counts[midi % 12] > 1 or note.muted:
                continue
            near = [
                p for i in (-2, -1, 1, 2) if 0 <= index + i < len(events) for p in heard[index + i]
            ]
            if any(abs(p - midi) == 1 for p in near):
                continue
            yield Mark(
                "foreign",
                note.place,
                f"this note sounds {note.pitch.letter}, which sounds nowhere else in the tune and "
                "does not belong to its scale",
            )
