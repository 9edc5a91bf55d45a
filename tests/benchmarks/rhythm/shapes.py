"""Left-hand shapes for rolls: chords found on a tuning's own strings by arithmetic."""

from __future__ import annotations

from .tunings import open_pitches

MAJOR_TRIAD, MINOR_TRIAD = (0, 4, 7), (0, 3, 7)
REACH = 4  # frets a hand covers


def shape(tuning: str, root: int, minor: bool, base: int) -> dict[int, int]:
    """Frets of strings 1 to 5 for a triad on the pitch class ``root``.

    On each long string the first fret from ``base`` on that sounds a note of the chord; in the
    first position (``base`` 0) open strings count. String 5 stays open: it is the drone.
    """
    classes = {(root + step) % 12 for step in (MINOR_TRIAD if minor else MAJOR_TRIAD)}
    frets = {5: 0}
    for string, pitch in enumerate(open_pitches(tuning)[:4], start=1):
        found = (f for f in range(base, base + REACH + 1) if (pitch + f) % 12 in classes)
        frets[string] = next(found, base)
    return frets


def tonic(tuning: str) -> int:
    """The pitch class a tuning is at home in: that of its third string."""
    return open_pitches(tuning)[2] % 12
