"""Two versions of a tune, and what is different, in a musician's words, measure by measure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from rollstave.pitch import Pitch
from rollstave.score.aligned import aligned, struck_in, transposed
from rollstave.score.records import ChordName, Event, Measure, Note, Score
from rollstave.vocabulary.hands import STROKES
from rollstave.vocabulary.signs import techniques_of

# Of a measure: the field, and what it is called; the words of what it has say the rest.
_OF_MEASURES = (
    ("section", "the section's name"),
    ("ending", "the ending"),
    ("times", "how often it is played"),
    ("jump", "the jump"),
)
_SIGNS = (("fine", "Fine"), ("segno", "a segno"), ("to_coda", "To Coda"), ("coda", "a coda"))
_INTERVALS = {
    **{1: "a semitone", 2: "a whole tone", 3: "a minor third", 4: "a major third", 5: "a fourth"},
    **{7: "a fifth", 12: "an octave", 24: "two octaves"},
}


class Difference(Struct, frozen=True):
    """One thing that changed. ``old`` and ``new`` are what its measure is called in each version,
    empty where it is the whole tune's or the measure is only in the other; ``beat`` counts from 1.
    """

    what: str
    words: str
    old: str = ""
    new: str = ""
    beat: str = ""

    @property
    def line(self) -> str:
        """The whole in a line: ``measure 3, beat 2: B3 became C4``."""
        where = self.new or self.old
        other = f" (it was {self.old})" if self.old and self.new and self.old != self.new else ""
        at = f", beat {self.beat}" if self.beat else ""
        return f"{where}{at}{other}: {self.words}" if where else self.words


def differences(old: Score, new: Score) -> list[Difference]:
    """What is different in the new version, from the beginning to the end."""
    found = list(_of_the_whole(old, new))
    moved = transposed(*([struck_in(m) for m in score.measures] for score in (old, new)))
    if moved:
        way = "higher" if moved > 0 else "lower"
        by = _INTERVALS.get(abs(moved), f"{abs(moved)} semitones")
        found.append(Difference(what="transposed", words=f"all notes are {by} {way}"))
    pairs = aligned(
        [_contents(measure, moved) for measure in old.measures],
        [_contents(measure, 0) for measure in new.measures],
    )
    meters = new.meters
    for before, after in pairs:
        if before is None and after is not None:
            there = new.measures[after].called
            found.append(Difference(what="measure", words="it is new", new=there))
        elif after is None and before is not None:
            there = old.measures[before].called
            found.append(Difference(what="measure", words="it is gone", old=there))
        elif before is not None and after is not None:
            one, other = old.measures[before], new.measures[after]
            beat = meters[after].beat
            inside = sorted(_of_measure(one, other, beat, moved), key=_when)
            found += [replace(d, old=one.called, new=other.called) for d in inside]
    return found


def _when(difference: Difference) -> Fraction:
    return sum(map(Fraction, difference.beat.split()), Fraction(0))


# The whole tune ------------------------------------------------------------------------------


def _of_the_whole(old: Score, new: Score) -> Iterator[Difference]:
    rows = [
        ("title", old.title, new.title),
        ("instrument", old.setup.instrument.name, new.setup.instrument.name),
        ("tuning", old.setup.tuning.written, new.setup.tuning.written),
        ("capo", str(old.setup.capo or ""), str(new.setup.capo or "")),
        ("key", str(old.key), str(new.key)),
        ("meter", str(old.meter), str(new.meter)),
        ("tempo", _tempo(old), _tempo(new)),
    ]
    said, says = dict(old.said), dict(new.said)
    rows += [(key, said.get(key, ""), says.get(key, "")) for key in {**said, **says}]
    for what, was, now in rows:
        if was != now:
            yield Difference(what=what, words=_became(f"the {what}", was, now))


def _tempo(score: Score) -> str:
    return "" if score.tempo is None else f"{float(score.tempo):g} quarter notes a minute"


def _became(what: str, was: object, now: object) -> str:
    if not was:
        return f"{what} is {now}; there was none"
    return f"{what} {was} became {now}" if now else f"{what} {was} is gone"


def _contents(measure: Measure, moved: int) -> tuple[tuple[Fraction, Fraction, int], ...]:
    return tuple(
        (e.onset, e.duration, n.pitch.midi + moved) for e in measure.events for n in e.notes
    )


# A measure -----------------------------------------------------------------------------------


def _of_measure(old: Measure, new: Measure, beat: Fraction, moved: int) -> Iterator[Difference]:
    if old.length != new.length:
        lasts = f"it lasts {_beats(new.length / beat)}, not {_beats(old.length / beat)}"
        yield Difference(what="length", words=lasts)
    before = {event.onset: event for event in old.events if event.notes}
    after = {event.onset: event for event in new.events if event.notes}
    for onset in sorted({*before, *after}):
        at = _beat(onset / beat)
        for difference in _of_events(before.get(onset), after.get(onset), beat, moved):
            yield replace(difference, beat=at)
    yield from _of_chords(old, new, beat, moved)
    for name, called in _OF_MEASURES:
        was, now = getattr(old, name), getattr(new, name)
        if was != now:
            yield Difference(what=name, words=_became(called, was, now))
    for name, called in _SIGNS:
        if getattr(old, name) != getattr(new, name):
            words = f"{called} is {'added' if getattr(new, name) else 'taken away'}"
            yield Difference(what=name, words=words)
    for side in ("left", "right"):
        was, now = getattr(old, side), getattr(new, side)
        if was is not now and "repeat" in f"{was.value} {now.value}":
            words = f"the bar at its {side} is {now.value}, not {was.value}"
            yield Difference(what="bar", words=words)


def _of_chords(old: Measure, new: Measure, beat: Fraction, moved: int) -> Iterator[Difference]:
    """Chord names that are others, and not only moved as all notes are."""
    was = {c.onset: c for c in old.chords if not c.inferred}
    now = {c.onset: c for c in new.chords if not c.inferred}
    for onset in sorted({*was, *now}):
        one, other = was.get(onset), now.get(onset)
        texts = one.text if one else "", other.text if other else ""
        if one and other and moved and _class(one, moved) == _class(other, 0):
            continue
        if texts[0] != texts[1]:
            words = _became("the chord", *texts)
            yield Difference(what="chord", words=words, beat=_beat(onset / beat))


def _class(chord: ChordName, moved: int) -> tuple[object, ...]:
    """What kind of chord on which of twelve tones, so many semitones higher."""
    tones = (
        root and (Pitch(root[0], root[1], 4).midi + moved) % 12 for root in (chord.root, chord.bass)
    )
    return (chord.kind, *tones)


def _of_events(
    old: Event | None, new: Event | None, beat: Fraction, moved: int
) -> Iterator[Difference]:
    """What is different in what is struck at one time."""
    were, are = list(old.notes if old else ()), list(new.notes if new else ())
    pairs = list(_same_notes(were, are, moved))
    for one, other in pairs:
        were.remove(one)
        are.remove(other)
        yield from _of_notes(one, other)
    while were and are:
        one, other = were.pop(0), are.pop(0)
        words = f"{one.pitch} became {other.pitch} ({_place(one)} became {_place(other)})"
        yield Difference(what="pitch", words=words)
    for note in were:
        words = f"{note.pitch} ({_place(note)}) is taken out"
        yield Difference(what="taken out", words=words)
    for note in are:
        yield Difference(what="added", words=f"{note.pitch} ({_place(note)}) is added")
    if old is None or new is None:
        return
    if old.duration != new.duration:
        lasts = f"it lasts {_beats(new.duration / beat)}, not {_beats(old.duration / beat)}"
        yield Difference(what="duration", words=lasts)
    was, now = (_way(event) for event in (old, new))
    if was != now:
        yield Difference(what="stroke", words=_became("the way of the stroke", was, now))
    was, now = ("/".join(text for _, text in e.sung) for e in (old, new))
    if was != now:
        yield Difference(what="words", words=_became("the syllable", was, now))


def _way(event: Event) -> str:
    """Which way an event is struck, if that is written."""
    return " and ".join(row.words for row in STROKES if getattr(event, row.field))


def _same_notes(
    were: Sequence[Note], are: Sequence[Note], moved: int
) -> Iterator[tuple[Note, Note]]:
    """Notes of one pitch in both versions, those on one string first."""
    free, left = list(are), []
    for one in were:
        same = [n for n in free if n.pitch.midi == one.pitch.midi + moved]
        own = next((n for n in same if n.string == one.string), None)
        if own is None:
            left.append(one)
            continue
        free.remove(own)
        yield one, own
    for one in left:
        other = next((n for n in free if n.pitch.midi == one.pitch.midi + moved), None)
        if other is not None:
            free.remove(other)
            yield one, other


def _of_notes(old: Note, new: Note) -> Iterator[Difference]:
    """What is different in how a note of the same pitch is played."""
    if (old.string, old.fret, old.half) != (new.string, new.fret, new.half):
        words = f"{new.pitch} is on {_place(new)}, not {_place(old)}"
        yield Difference(what="place", words=words)
    was, now = (n.finger if n.finger and not n.inferred_finger else None for n in (old, new))
    if was is not now:
        words = _became(
            f"the finger of {new.pitch}", was and was.name.lower(), now and now.name.lower()
        )
        yield Difference(what="finger", words=words)
    if old.left_finger != new.left_finger:
        words = _became(f"the left finger of {new.pitch}", old.left_finger, new.left_finger)
        yield Difference(what="left finger", words=words)
    if old.link is not new.link:
        was_link, now_link = old.link and old.link.value, new.link and new.link.value
        words = _became(f"{new.pitch} is reached otherwise:", was_link, now_link)
        yield Difference(what="link", words=words)
    had, has = ({row.name for row in techniques_of(n)} for n in (old, new))
    for name in sorted(had ^ has):
        words = f"{new.pitch} is {'now' if name in has else 'no longer'} marked {name}"
        yield Difference(what="mark", words=words)


def _place(note: Note) -> str:
    if note.fret is None:
        return f"string {note.string}, dead"
    return f"string {note.string}, {f'fret {note.fret_text}' if note.fret else 'open'}"


def _beats(beats: Fraction) -> str:
    return f"{_number(beats)} beat{'' if beats == 1 else 's'}"


def _beat(beats: Fraction) -> str:
    return _number(beats + 1)


def _number(number: Fraction) -> str:
    """``2``, ``1/2``, ``2 1/2``."""
    whole, part = divmod(number, 1)
    return f"{whole} {part}" if whole and part else str(part or whole)
