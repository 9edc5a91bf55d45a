"""From string and fret to pitch: tuning, capo, and a short string with its own numbering."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from rollstave.instruments.instrument import Instrument, Tuning


class NoSuchFret(ValueError):
    """A fret that the neck does not have; the message says what would be right."""

    def __init__(self, message: str) -> None:
        super().__init__(message)


class Setup(Struct, frozen=True):
    """An instrument as it is held for one tune.

    ``capo`` is the fret of the capo on the long strings, 0 for none. ``short_raise`` is how many
    semitones the short string is raised by ``short_raised_by``: a spike or a capo of its own
    stops the string higher up, so its frets stay where they are; turning the peg moves them all.
    ``short_numbering`` says whether the short string's frets are counted along the long neck
    (common practice) or from its own peg.
    """

    instrument: Instrument
    tuning: Tuning
    capo: int = 0
    short_raise: int = 0
    short_raised_by: Literal["capo", "peg"] = "capo"
    short_numbering: Literal["neck", "peg"] = "neck"

    def open_midi(self, string: int) -> int:
        """MIDI number of a string struck open, with capo and raised short string."""
        short = self.instrument.short_string
        pitch = self.tuning.pitches[string - 1].midi
        if short and short.string == string:
            return pitch + self.short_raise
        return pitch + self.instrument.semitones(self.capo)

    def midi(self, string: int, fret: int, half: bool = False) -> int:
        """MIDI number of a fret counted from the capo, as tab counts; ``half`` for the extra fret
        after it, typed ``6+``.

        Raises NoSuchFret where the neck has no such fret. Rules: common practice, no source.
        """
        if not 1 <= string <= self.instrument.strings:
            raise NoSuchFret(
                f"string {string} does not exist: the instrument has {self.instrument.strings}"
            )
        last = self.instrument.frets - self.capo
        if fret > last or fret < 0:
            after = f" above a capo at {self.capo}" if self.capo else ""
            raise NoSuchFret(
                f"fret {fret} on string {string} is beyond the neck, whose last fret is {last}"
                f"{after}"
            )
        short = self.instrument.short_string
        if half:
            self._check_half(fret)
        if short is None or short.string != string or fret == 0:
            up = self.instrument.semitones(fret + self.capo) + half
            return self.open_midi(string) + up - self.instrument.semitones(self.capo)
        return self._short_midi(fret, short.string, short.peg_fret)

    def _check_half(self, fret: int) -> None:
        known = [f - self.capo for f in self.instrument.half_frets if f >= self.capo]
        if fret not in known:
            those = ", ".join(f"{f}+" for f in known)
            raise NoSuchFret(
                f"fret {fret}+ does not exist on this {self.instrument.name}: "
                + (f"its extra frets are {those}" if those else "it has no extra frets")
            )

    def _short_midi(self, fret: int, string: int, peg_fret: int) -> int:
        open_pitch = self.tuning.pitches[string - 1].midi
        by_peg = self.short_raised_by == "peg"
        base = open_pitch + (self.short_raise if by_peg else 0)
        # The lowest fret that lies above the place where the string is stopped, as tab counts it.
        stop = 0 if by_peg else self.short_raise
        first = peg_fret + stop - self.capo + 1
        if self.short_numbering == "peg":
            return base + fret if by_peg else open_pitch + self.short_raise + fret
        if fret < first:
            raise NoSuchFret(
                f"fret {fret} on string {string} does not exist: the string starts beside fret "
                f"{first - 1}, so its frets are 0 (open) and {first} or more; did you mean "
                f"{fret + first - 1}, or does this tab count string {string} from its own peg "
                f'(then write "Fifth string: counted from its peg")?'
            )
        return base + fret + self.capo - peg_fret
