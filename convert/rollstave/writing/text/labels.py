"""The labels of the rows."""

from __future__ import annotations

from rollstave.score.records import Score


def row_labels(score: Score) -> tuple[str, ...]:
    """The label of each row, string 1 first, all of one width; a short string in lower case."""
    setup = score.setup
    short = setup.instrument.short_string
    names = []
    for string, pitch in enumerate(setup.tuning.pitches, start=1):
        lower = short is not None and short.string == string
        names.append(pitch.letter[0].lower() + pitch.letter[1:] if lower else pitch.letter)
    widest = max(len(name) for name in names)
    return tuple(name.ljust(widest) for name in names)
