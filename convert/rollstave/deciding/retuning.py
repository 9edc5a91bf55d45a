"""What has to be tuned before a tune is played: how each string differs from the usual tuning."""

from __future__ import annotations

from msgspec import Struct

from rollstave.instruments.setup import Setup
from rollstave.pitch import Pitch

# Common practice, no source; the usual caution.
CAUTION = (
    "Raising a string by more than a tone or two can break it: tune up slowly, or use a lighter "
    "string."
)


class Retuned(Struct, frozen=True):
    """A string that is tuned otherwise than usual: ``semitones`` up, or down if negative."""

    string: int
    usual: Pitch
    wanted: Pitch

    @property
    def semitones(self) -> int:
        return self.wanted.midi - self.usual.midi


def retuned(setup: Setup) -> tuple[Retuned, ...]:
    """The strings that differ from the first tuning of the instrument, string 1 first.

    What a capo or the short string's own stop does is not counted: nothing is tuned for that.
    """
    pairs = zip(setup.instrument.default.pitches, setup.tuning.pitches, strict=True)
    return tuple(
        Retuned(string, usual, wanted)
        for string, (usual, wanted) in enumerate(pairs, start=1)
        if usual.midi != wanted.midi
    )
