"""Questions of music theory that the file does not answer; music21 answers them.

music21 takes a fifth of a second to import, so only a tune that needs it pays for it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import lru_cache

from rollstave.pitch import Key


def find_key(midi: Sequence[int]) -> tuple[Key, str]:
    """The key of a melody given as MIDI numbers, and the reason in words.

    music21's Krumhansl–Schmuckler analysis (Krumhansl, Cognitive Foundations of Musical Pitch,
    1990) over pitch classes; C major where there is nothing to go by.
    """
    if not midi:
        return Key("C"), "no notes"
    counts = Counter(n % 12 for n in midi)
    return _fitting(tuple(sorted(counts.items())))


@lru_cache(maxsize=512)
def _fitting(counts: tuple[tuple[int, int], ...]) -> tuple[Key, str]:
    """The key that fits so many notes of each pitch class. Kept, because a tune is read again and
    again while it is being edited."""
    from music21 import note, stream

    # The analysis weighs pitch classes by how long they sound: one long note of each is as good
    # as all of them, and takes no longer for a long tune.
    melody = stream.Stream()
    for pitch_class, number in counts:
        melody.append(note.Note(60 + pitch_class, quarterLength=number))
    found = melody.analyze("key.krumhanslschmuckler")
    tonic = found.tonic.name.replace("-", "b")
    key = Key(tonic, found.mode)
    if not -7 <= key.fifths <= 7:
        return Key("C"), "no key stands out"
    return key, f"the notes fit it best (correlation {found.correlationCoefficient:.2f})"
