"""Notes that the left hand joins, a hammer-on or a slide, and the strings that have them all."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave import Finger, Note, Setup
from rollstave_arranging.fingering import way
from rollstave_arranging.neck import Spot, short_of, spots_of

_OTHER, _FRET = 4.0, 0.1  # another string than before; each fret of each note


def spot_on(string: int, midi: int, setup: Setup) -> Spot | None:
    """Where a pitch lies on a string; None where it does not."""
    return next((s for s in spots_of(midi, setup) if s[0] == string), None)


def frets_on(
    string: int, notes: Sequence[Note], targets: Sequence[int], setup: Setup
) -> list[int] | None:
    """The frets of joined notes on a string; None where it has not all of them, or a slide would
    begin or end on the open string."""
    spots = [spot_on(string, midi, setup) for midi in targets]
    frets = [spot[1] for spot in spots if spot is not None]
    slides = any(n.link is not None and n.link.name == "SLIDE" for n in notes)
    if len(frets) < len(spots) or (slides and 0 in frets) or string == short_of(setup):
        return None
    return frets


def ways_of(
    notes: Sequence[Note],
    targets: Sequence[int],
    setup: Setup,
    *,
    was: int,
    finger: Finger | None,
) -> list[tuple[float, int]]:
    """What each string costs that has the pitches ``targets`` of notes joined on string ``was``."""
    found = []
    for string in range(1, setup.instrument.strings + 1):
        frets = frets_on(string, notes, targets, setup)
        if frets is None:
            continue
        first = way((string, frets[0], False), was=was, finger=finger, short=short_of(setup))
        found.append((_OTHER * (string != was) + _FRET * sum(frets) + first.cost, string))
    return found
