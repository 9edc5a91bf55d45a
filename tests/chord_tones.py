"""What music21 says of a chord by its name: the tests' own source of its tones."""

from __future__ import annotations

import re
from functools import cache

from music21 import harmony


def symbol(name: str) -> harmony.ChordSymbol:
    """A chord of music21, which writes flats as minus signs: ``B-``, where we have ``Bb``."""
    return harmony.ChordSymbol(re.sub(r"\A([A-G])b", r"\1-", name))


@cache
def tones(name: str) -> frozenset[int]:
    """The pitch classes of a chord; each name is looked up once a session."""
    return frozenset(symbol(name).pitchClasses)


@cache
def root(name: str) -> int:
    """The pitch class of a chord's root."""
    return int(symbol(name).root().pitchClass)
