"""Questions of music theory that the file does not answer.

The key is the one whose profile correlates best with how often each pitch class is struck: the
Krumhansl–Schmuckler analysis (Krumhansl, Cognitive Foundations of Musical Pitch, 1990). It gives
music21's answers, and a test asks music21; the profiles are kept here because importing music21
takes longer than making the whole sheet, and most tabs name no key.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from statistics import correlation

from rollstave.pitch import Key

# Krumhansl and Kessler's profiles (1982) from the tonic upwards by semitones, as music21 has them.
_PROFILES = {
    "major": (6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88),
    "minor": (6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17),
}
# The spelling of a tonic that needs fewer sharps or flats, from C upwards.
_TONICS = {
    "major": ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"),
    "minor": ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"),
}


def find_key(midi: Sequence[int]) -> tuple[Key, str]:
    """The key of a melody given as MIDI numbers, and the reason in words; C major where there is
    nothing to go by."""
    if not midi:
        return Key("C"), "no notes"
    counts = Counter(number % 12 for number in midi)
    found = max(key_correlations(counts), default=None)
    if found is None:
        return Key("C"), "no key stands out"
    fit, tonic, mode = found
    return (
        Key(_TONICS[mode][tonic], mode),
        f"the notes fit it best (correlation {fit:.2f})",
    )


def key_correlations(counts: Counter[int]) -> Iterator[tuple[float, int, str]]:
    """How well the pitch classes of a tune fit each of the 24 keys: the correlation from -1 to 1,
    the pitch class of the tonic, and the mode. None if all are struck as often."""
    struck = [counts[pitch_class] for pitch_class in range(12)]
    if len(set(struck)) == 1:
        return
    for mode, profile in _PROFILES.items():
        for tonic in range(12):
            yield correlation(profile, struck[tonic:] + struck[:tonic]), tonic, mode
