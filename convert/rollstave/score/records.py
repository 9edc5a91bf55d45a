"""The score model: frozen data that every writer walks.

Durations and onsets are in quarter notes as fractions, pitches are sounding pitches with a
spelling, strings are numbered from 1 on the top line of the tab.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import Enum
from fractions import Fraction
from typing import Any, TypeVar

from msgspec import Struct

from rollstave.grid.typed import Bar, LegendSign, Link, SlideEdge
from rollstave.instruments.setup import Setup
from rollstave.pitch import Key, Pitch
from rollstave.problems import Place
from rollstave.rhythm.meter import Meter
from rollstave.rhythm.timed import Alternative, Source
from rollstave.vocabulary.headings import ONLY_WORDS


class Finger(Enum):
    """A finger of the picking hand. Common practice: T, I, M under the tab of a banjo, p, i, m, a,
    c under that of a guitar."""

    THUMB = "T"
    INDEX = "I"
    MIDDLE = "M"
    RING = "A"
    LITTLE = "C"


class Note(Struct, frozen=True):
    """One note. ``fret`` is None only for a muted stroke without a fret.

    ``link`` says how the note before it on the same string leads here, and where none is before
    it, that it is tapped from nowhere; that note's event and note are found by
    :func:`rollstave.score.links.links_of`. ``inferred_finger`` is True where
    the typist wrote no letter. ``bend`` is in semitones. ``left_finger`` is the finger that stops
    the string, where it was written: 1 to 4 from the index finger. ``half`` is the extra fret
    after ``fret``, typed ``6+``. ``marks`` are techniques that have no field of their own, by name.
    ``voice`` counts from 1; ``lasts`` is how long the note is held, in quarter notes, where it is
    not until its event ends: a bass under a roll.
    """

    string: int
    fret: int | None
    pitch: Pitch
    place: Place
    link: Link | None = None
    finger: Finger | None = None
    inferred_finger: bool = False
    muted: bool = False
    ghost: bool = False
    harmonic: bool = False
    bend: int | None = None
    vibrato: bool = False
    slide_from: SlideEdge | None = None
    slide_to: SlideEdge | None = None
    let_ring: bool = False
    left_finger: int | None = None
    half: bool = False
    marks: tuple[str, ...] = ()
    voice: int = 1
    lasts: Fraction | None = None

    @property
    def fret_text(self) -> str:
        """The fret as it is typed and printed: ``6``, ``6+``; empty without one."""
        return "" if self.fret is None else f"{self.fret}{'+' if self.half else ''}"


class GraceNote(Struct, frozen=True):
    """A small quick note before an event. ``leads`` says how the next note on its string is
    reached from it; without it that note is struck anew."""

    string: int
    fret: int
    pitch: Pitch
    place: Place
    leads: Link | None = None
    half: bool = False

    @property
    def fret_text(self) -> str:
        """The fret as it is typed and printed: ``6``, ``6+``."""
        return f"{self.fret}{'+' if self.half else ''}"


class Event(Struct, frozen=True):
    """Notes struck together, or a rest where ``notes`` is empty.

    ``grace`` are the grace notes before it in order, each entry the notes that are struck
    together; they take no time in the measure. ``lyric`` is its syllable in the first verse,
    ``verses`` are those in the second and later ones, None where one has none. ``down_stroke``
    and ``up_stroke`` say which way the hand or the pick strikes, where that is written.
    """

    onset: Fraction
    duration: Fraction
    notes: tuple[Note, ...]
    brush: bool = False
    lyric: str | None = None
    grace: tuple[tuple[GraceNote, ...], ...] = ()
    verses: tuple[str | None, ...] = ()
    down_stroke: bool = False
    up_stroke: bool = False

    @property
    def sung(self) -> tuple[tuple[int, str], ...]:
        """The number of each verse that has a syllable here, from 1, and the syllable."""
        if self.lyric is None and not self.verses:
            return ()  # nearly always
        rows = enumerate((self.lyric, *self.verses), start=1)
        return tuple((number, text) for number, text in rows if text)


def fields_of_sung(sung: Mapping[int, str]) -> dict[str, Any]:
    """The fields of an event that keep its syllables, from those by number of verse."""
    last = max(sung, default=0)
    return {
        "lyric": sung.get(1),
        "verses": tuple(sung.get(number) for number in range(2, last + 1)),
    }


class ChordName(Struct, frozen=True):
    """A chord over the music: name as typed, its parts, and the frets held if they are known.

    ``kind`` is a MusicXML 4.0 kind value. ``frets`` is for string 1 first; None in it is a
    string that is not struck while the chord lasts. ``inferred`` is True where the typist wrote
    no name and the notes gave it. ``beside`` is its other name under a capo, where both are asked
    for.
    """

    onset: Fraction
    text: str
    root: tuple[str, int] | None
    kind: str
    bass: tuple[str, int] | None = None
    frets: tuple[int | None, ...] | None = None
    inferred: bool = False
    beside: str = ""


class Rhythm(Struct, frozen=True):
    """How the rhythm of a measure was found."""

    confidence: float
    sure: bool
    source: Source
    reasons: tuple[str, ...]
    alternatives: tuple[Alternative, ...] = ()


class Change(Struct, frozen=True):
    """What is different from a measure on; None is: as before it. ``tempo`` is in quarter notes a
    minute."""

    meter: Meter | None = None
    key: Key | None = None
    tempo: Fraction | None = None
    setup: Setup | None = None


class Measure(Struct, frozen=True):
    """One measure. ``number`` is what is printed: 0 for a pickup, then from 1; ``called`` says it.

    ``length`` is its true length in quarter notes, which a pickup does not fill. ``change`` is what
    is different from here on, and nothing in the first measure. ``times`` is how
    often a repeat that ends here is played, if that was said; after ``jump`` (``"D.C. al Fine"``)
    the player goes back to the beginning or to ``segno``, and ends in the measure that is ``fine``
    or goes on from the one that is ``to_coda`` to the one that is ``coda``.
    """

    index: int
    number: int
    length: Fraction
    events: tuple[Event, ...]
    rhythm: Rhythm
    chords: tuple[ChordName, ...] = ()
    left: Bar = Bar.NONE
    right: Bar = Bar.SINGLE
    ending: str | None = None
    ending_stop: bool = False
    in_ending: str | None = None
    section: str | None = None
    implicit: bool = False
    system: int = 0
    first_line: int = 0
    last_line: int = 0
    times: int | None = None
    jump: str | None = None
    fine: bool = False
    segno: bool = False
    to_coda: bool = False
    coda: bool = False
    change: Change | None = None

    @property
    def called(self) -> str:
        """``measure 3``, as it is printed; a pickup has no number."""
        return f"measure {self.number}" if self.number else "the pickup"


class Score(Struct, frozen=True):
    """A tune, ready to be written. ``tempo`` is in quarter notes a minute.

    ``meter``, ``key``, ``tempo`` and ``setup`` are what it begins with; what each measure has is
    in ``meters``, ``keys``, ``tempos`` and ``setups``, and what it is played at in
    ``sounding_tempos``.

    ``notes`` are the typist's lines of words; ``note_measures``, where it is known, the index of
    the measure before which each of them stood; ``signs`` what a legend among them says of signs.
    ``headings`` are the headings that are only words and have no field of their own, as pairs of
    key and words: ``("arranger", "Mara Quay")``. ``chords_by_shape`` is True where chord names say
    what the hand holds under a capo, not what sounds. ``beside`` is another version of the tune,
    which sheets, pages and MusicXML set under it, measure by measure.
    """

    title: str
    setup: Setup
    key: Key
    meter: Meter
    tempo: Fraction | None
    measures: tuple[Measure, ...]
    composer: str = ""
    source: str = ""
    notes: tuple[str, ...] = ()
    style: str = ""
    note_measures: tuple[int, ...] = ()
    signs: tuple[LegendSign, ...] = ()
    headings: tuple[tuple[str, str], ...] = ()
    chords_by_shape: bool = False
    beside: OtherVersion | None = None

    @property
    def meters(self) -> tuple[Meter, ...]:
        """The meter of each measure."""
        changes = [m.change.meter if m.change else None for m in self.measures]
        return _in_force(self.meter, changes)

    @property
    def keys(self) -> tuple[Key, ...]:
        """The key of each measure."""
        changes = [m.change.key if m.change else None for m in self.measures]
        return _in_force(self.key, changes)

    @property
    def tempos(self) -> tuple[Fraction | None, ...]:
        """The tempo of each measure; None where none is written yet."""
        return _in_force(self.tempo, self._tempo_changes())

    @property
    def setups(self) -> tuple[Setup, ...]:
        """How the instrument is set up in each measure."""
        changes = [m.change.setup if m.change else None for m in self.measures]
        return _in_force(self.setup, changes)

    @property
    def sounding_tempos(self) -> tuple[Fraction, ...]:
        """What each measure is played at, as :attr:`sounding_tempo` for the first."""
        return _in_force(self.sounding_tempo, self._tempo_changes())

    def _tempo_changes(self) -> list[Fraction | None]:
        return [m.change.tempo if m.change else None for m in self.measures]

    @property
    def said(self) -> tuple[tuple[str, str], ...]:
        """The headings that are only words and that somebody said, as pairs of key and words. Those
        with a field of their own are among them."""
        others = dict(self.headings)
        found = (
            (row.key, getattr(self, row.attribute) if row.attribute else others.get(row.key, ""))
            for row in ONLY_WORDS
        )
        return tuple((key, words) for key, words in found if words)

    @property
    def sounding_tempo(self) -> Fraction:
        """Quarter notes a minute to play at: what the typist wrote, or 100 beats a minute.

        The default is ours; a moderate walking pace in any meter.
        """
        return self.tempo if self.tempo is not None else 100 * self.meter.beat


class OtherVersion(Struct, frozen=True):
    """Another version of a tune, with as many measures, each as long; ``says`` is in words what
    it is (``"up the neck, frets 5 to 12"``)."""

    score: Score
    says: str


_Held = TypeVar("_Held")


def _in_force(first: _Held, changes: Sequence[_Held | None]) -> tuple[_Held, ...]:
    """What holds in each measure, from what holds at first and what changes where."""
    found, now = [], first
    for new in changes:
        now = now if new is None else new
        found.append(now)
    return tuple(found)


def fields_of_headings(said: Mapping[str, str]) -> dict[str, Any]:
    """The fields of a score that keep headings that are only words, from their words by key."""
    own = {row.attribute: said.get(row.key, "") for row in ONLY_WORDS if row.attribute}
    others = [(row.key, said.get(row.key, "")) for row in ONLY_WORDS if not row.attribute]
    return {**own, "headings": tuple(pair for pair in others if pair[1])}
