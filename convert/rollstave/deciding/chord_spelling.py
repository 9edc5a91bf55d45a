"""Notes outside the key that belong to the chord over them are spelled as the chord spells them.

Over C#7b9 in A the third of the chord is E sharp, where the key by itself would have F (common
practice, no source). Notes of the scale keep their name, and nothing becomes doubly sharp or flat.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import lru_cache

from msgspec.structs import replace

from rollstave.deciding.chords import chord_kind, chord_name, pitch_class
from rollstave.grid.typed import Link
from rollstave.pitch import Key, Pitch, spell_in, with_step
from rollstave.score.records import ChordName, Event, Measure

_STEPS = "CDEFGAB"
# How many letters above the root a tone lies, by semitones; where two could be, the kind says.
_LETTERS = {0: 0, 1: 1, 2: 1, 3: 2, 4: 2, 5: 3, 6: 4, 7: 4, 8: 4, 9: 5, 10: 6, 11: 6}


def spelled_by_chords(measures: Sequence[Measure], keys: tuple[Key, ...]) -> tuple[Measure, ...]:
    """The measures with such notes spelled by the typed chord over them, which lasts up to the
    next. A tied note keeps the name that it has. ``keys`` are those of the measures, or one."""
    chord: ChordName | None = None
    found: list[Measure] = []
    before: dict[int, Pitch] = {}
    for measure, key in zip(measures, keys if len(keys) > 1 else keys * len(measures), strict=True):
        if chord is None and not measure.chords:
            found.append(measure)
            continue
        names = [c for c in measure.chords if not c.inferred]
        events = []
        for event in measure.events:
            while names and names[0].onset <= event.onset:
                chord = names.pop(0)
            events.append(event if chord is None else _spelled(event, chord, key, before))
        chord = names[-1] if names else chord
        changed = any(a is not b for a, b in zip(events, measure.events, strict=True))
        found.append(replace(measure, events=tuple(events)) if changed else measure)
    return tuple(found)


def _spelled(event: Event, chord: ChordName, key: Key, before: dict[int, Pitch]) -> Event:
    """The event with its notes spelled; ``before`` has the notes that were respelled last on each
    string, for ties."""
    letters = _letters_of(chord.text, key)
    pitches: list[Pitch] = []
    for note in event.notes:
        pitch = note.pitch
        if note.link is Link.TIE:
            pitch = before.get(note.string, pitch)
        elif (step := letters.get(pitch.midi % 12)) is not None:
            pitch = with_step(pitch.midi, step)
        if pitch != note.pitch:
            before[note.string] = pitch
        else:
            before.pop(note.string, None)
        pitches.append(pitch)
    if all(p == n.pitch for p, n in zip(pitches, event.notes, strict=True)):
        return event
    notes = (
        n if n.pitch == p else replace(n, pitch=p)
        for n, p in zip(event.notes, pitches, strict=True)
    )
    return replace(event, notes=tuple(notes))


@lru_cache(maxsize=512)
def _letters_of(text: str, key: Key) -> Mapping[int, str]:
    """The letter of each tone of a chord that is not in the scale of the key and has another name
    there, by pitch class."""
    row, named = chord_kind(text), chord_name(text, Fraction(0)).root
    if row is None or named is None:
        return {}
    root, sign = named
    found: dict[int, str] = {}
    for tone in row.tones:
        above = _LETTERS[tone]
        if tone == 9 and {3, 6} <= set(row.tones):
            above = 6  # a diminished seventh
        elif tone == 3 and 4 in row.tones:
            above = 1  # a sharp ninth
        elif tone == 6 and 7 in row.tones:
            above = 3  # a sharp eleventh
        pitch = (pitch_class((root, sign)) + tone) % 12
        step = _STEPS[(_STEPS.index(root) + above) % 7]
        plain = spell_in(60 + pitch, key)
        wanted = with_step(60 + pitch, step)
        if abs(wanted.alter) < 2 and not _in_scale(plain, key) and plain.letter != wanted.letter:
            found[pitch] = step
    return found


def _in_scale(pitch: Pitch, key: Key) -> bool:
    """True for a note that the key signature has as it is."""
    sharps = "FCGDAEB"
    fifths = key.fifths
    if fifths >= 0:
        return pitch.alter == (pitch.step in sharps[:fifths])
    return pitch.alter == -(pitch.step in sharps[::-1][:-fifths])
