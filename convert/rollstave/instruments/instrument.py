"""The shapes of instrument data. The data itself is in ``table``."""

from __future__ import annotations

from msgspec import Struct

from rollstave.pitch import Pitch


class Tuning(Struct, frozen=True):
    """Open strings of an instrument.

    ``pitches`` runs from string 1 (top line of the tab) to the last string. ``names`` are the
    words that people use, the first one being the one we print. ``written`` is the short form,
    lowest line first (for a banjo string 5 to string 1): ``gDGBD``. ``base`` and ``capo`` say
    that this tuning is usually made by a capo from another one.
    """

    written: str
    pitches: tuple[Pitch, ...]
    names: tuple[str, ...] = ()
    base: str | None = None
    capo: int = 0

    @property
    def name(self) -> str:
        """The first of its names, empty if it has none."""
        return self.names[0] if self.names else ""

    @classmethod
    def of(
        cls,
        written: str,
        lowest_line_first: str,
        *names: str,
        base: str | None = None,
        capo: int = 0,
    ) -> Tuning:
        """A tuning from its pitches as text, the lowest line of the tab first: ``"D3 A3 D4"``.

        Raises ValueError for a text that is no pitches.
        """
        pitches = tuple(Pitch.parse(p) for p in reversed(lowest_line_first.split()))
        return cls(written, pitches, names, base, capo)


class ShortString(Struct, frozen=True):
    """A string whose peg sits beside a fret of the neck: the banjo's thumb string.

    Its frets are numbered along the long neck, so frets 1 to ``peg_fret`` do not exist, and fret
    n sounds n - ``peg_fret`` semitones above the open string. Common practice, no source.
    """

    string: int
    peg_fret: int


class Instrument(Struct, frozen=True):
    """One fretted instrument as data.

    ``octave_written`` is how many octaves above the sound the staff is written. ``frets`` is the
    last fret of the neck. ``program`` is the General MIDI program counted from 1 and ``sound``
    the MusicXML 4.0 standard sound. ``default`` is the tuning assumed if nothing else helps.
    ``words`` are other names people use for it. ``clef`` is sign and line of its staff.
    ``fixed_hand`` says that fingers of the picking hand may be inferred from the strings.

    ``fret_semitones`` is the fret table of a neck that is not chromatic: semitones of fret 0, 1, 2
    and so on above the open string; empty where each fret is a semitone. ``half_frets`` are those
    after which the neck has one more fret, a semitone higher, typed ``6+``. ``rank`` decides where
    rows and labels fit several instruments: the lowest is meant.
    """

    name: str
    strings: int
    frets: int
    octave_written: int
    program: int
    sound: str
    tunings: tuple[Tuning, ...]
    short_string: ShortString | None = None
    words: tuple[str, ...] = ()
    clef: tuple[str, int] = ("G", 2)
    fixed_hand: bool = False
    fret_semitones: tuple[int, ...] = ()
    half_frets: tuple[int, ...] = ()
    rank: int = 100

    def semitones(self, fret: int) -> int:
        """How many semitones a fret of the neck lies above the open string."""
        return self.fret_semitones[fret] if self.fret_semitones else fret

    @property
    def default(self) -> Tuning:
        """The tuning that is taken where nothing says which."""
        return self.tunings[0]
