"""What music21 does not keep through its own files: the tuning, the capo, the instrument.

They lie in the metadata under names of rollstave, which MusicXML keeps as fields of its
``miscellaneous`` element. Strings that somebody gave to the part's instrument come first. Where
all notes were moved alike, as by ``transpose``, strings and capo are moved with them, so that every
note stays where the hand has it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from music21 import articulations, chord, instrument, metadata, note, pitch

from rollstave import Setup
from rollstave_music21.marks import number_of, share_of

# The names under which music21's metadata keep what they have no name for: a heading by its key,
# and what is no heading.
HEADING = "rollstave-"
CAPO, WORDS, TUNING, INSTRUMENT = (
    f"{HEADING}{name}" for name in ("capo", "words", "tuning", "instrument")
)
NO_HEADINGS = (CAPO, WORDS, TUNING, INSTRUMENT)
_HIGHEST_CAPO, _LOWEST = 7, -5  # semitones by which a neck is still played as it is
_NEARLY_ALL = 0.95  # of the notes with string and fret
_SHORT = 5  # the string of five whose frets are those of the long neck


def fields_of(setup: Setup) -> dict[str, list[str]]:
    """What the metadata keep of a setup."""
    names = [name_of(p.step, p.alter, p.octave) for p in reversed(setup.tuning.pitches)]
    return {
        CAPO: [str(setup.capo)] if setup.capo else [],
        TUNING: [" ".join(names)],
        INSTRUMENT: [setup.instrument.name],
    }


def name_of(step: str, alter: int, octave: int) -> str:
    """A pitch as music21 writes it: ``B-3``."""
    return f"{step}{'#' * alter}{'-' * -alter}{octave}"


def custom(described: metadata.Metadata | None, name: str) -> list[str]:
    """What rollstave put into music21's metadata under a name of its own."""
    return [str(value) for value in described.getCustom(name)] if described else []


class Neck:
    """What a part is played on: the open strings, the lowest line of the tab first, the fret of
    the capo, and the instrument's name. ``moved`` is by how many semitones all notes are higher
    than strings and frets say; strings and capo are moved with them."""

    def __init__(self, part: Any, described: metadata.Metadata | None) -> None:
        self.instrument = next(iter(custom(described, INSTRUMENT)), "")
        capo = next(iter(custom(described, CAPO)), "0")
        self.capo = int(capo) if capo.isdecimal() else 0
        given = _given_strings(part)
        kept = next(iter(custom(described, TUNING)), "")
        self.strings = given or [pitch.Pitch(name) for name in kept.split()] or _any_strings(part)
        self.moved = _moved(part, self.strings, self.capo)
        self.by_capo = 0 <= self.capo + self.moved <= _HIGHEST_CAPO
        if self.by_capo:
            self.capo += self.moved
        else:
            self.strings = [one.transpose(self.moved) for one in self.strings]

    @property
    def said(self) -> str:
        """In words how the notes keep their strings and frets."""
        way = "higher" if self.moved > 0 else "lower"
        by = f"a capo at fret {self.capo}" if self.capo else "no capo"
        steps = f"{abs(self.moved)} semitone{'' if abs(self.moved) == 1 else 's'}"
        return (
            f"all notes are {steps} {way} than typed: strings and frets stay, with "
            f"{by if self.by_capo else 'the strings tuned to that'}"
        )


def _given_strings(part: Any) -> list[Any]:
    """The open strings of the part's instrument, if they are not those of its class: music21 gives
    these to any instrument that it reads from a file."""
    for found in part[instrument.Instrument]:
        if found.getOffsetInHierarchy(part):
            continue  # what it is tuned to later
        pitches = _strings_of(found)
        if pitches and [p.ps for p in pitches] != [p.ps for p in _strings_of(type(found)())]:
            return pitches
    return []


def _any_strings(part: Any) -> list[Any]:
    """The open strings of the first instrument of a part that has some."""
    return next((p for p in map(_strings_of, part[instrument.Instrument]) if p), [])


def _strings_of(found: Any) -> list[Any]:
    """The open strings of an instrument, none where it has none or music21 does not know them."""
    pitches = found.stringPitches if getattr(found, "_stringPitches", None) else ()
    return list(pitches) if all(p is not None and p.octave is not None for p in pitches) else []


def _moved(part: Any, strings: list[Any], capo: int) -> int:
    """By how many semitones nearly all notes sound higher than string and fret say, as far as a
    neck can be tuned or stopped so; else 0."""
    steps = Counter(
        one.pitch.midi - strings[len(strings) - string].midi - fret - capo
        for one, string, fret in _placed(part)
        if string <= len(strings) and not (len(strings) == _SHORT and string == _SHORT)
    )
    by, count = steps.most_common(1)[0] if steps else (0, 0)
    near = _LOWEST <= by <= _HIGHEST_CAPO and count >= _NEARLY_ALL * sum(steps.values())
    return by if near else 0


def _placed(part: Any) -> Iterator[tuple[Any, int, int]]:
    """The notes that have string and fret, and sound what these say."""
    for whole in part[note.NotRest]:
        inside = list(whole.notes) if isinstance(whole, chord.Chord) else [whole]
        for position, one in enumerate(inside):
            marks = list(one.articulations)
            if whole is not one:
                marks += share_of(whole.articulations, position)
            string = number_of(marks, articulations.StringIndication)
            fret = number_of(marks, articulations.FretIndication)
            harmonic = any(isinstance(m, articulations.Harmonic) for m in marks)
            if string and fret is not None and not harmonic and one.notehead != "x":
                yield one, string, fret
