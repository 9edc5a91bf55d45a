"""Onsets as a teacher counts them: ``1 & 2 & 3 4``, the words that ``written`` reads back.

Numbers count quarter notes, eighths where the meter counts eighths (common practice).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from rollstave.patterns import rare
from rollstave.rhythm.meter import Meter

LIKELY = 0.945  # from here on a probability is shown as 95% and more, and is not "not sure"

_OF_THE_TAB = rare(r"measure (?P<index>\d+) of the tab")
_PARTS = {
    Fraction(0): "",
    Fraction(1, 4): "e",
    Fraction(1, 2): "&",
    Fraction(3, 4): "a",
    Fraction(1, 3): "trip",
    Fraction(2, 3): "let",
}


def as_counts(onsets: Sequence[Fraction], meter: Meter) -> str:
    """Onsets in counts. A part of a beat whose number is not struck has the number before it
    (``2&``); what has no word is given as a fraction of the beat (``1+1/8``)."""
    words = []
    said = -1
    for onset in onsets:
        number, alone, after_its_number = _words(onset, meter.unit >= 8)
        words.append(after_its_number if number == said else alone)
        said = number
    return " ".join(words)


@lru_cache(maxsize=1024)  # onsets are few, and fractions are slow to divide
def _words(onset: Fraction, in_eighths: bool) -> tuple[int, str, str]:
    """The number of the beat of an onset, counted from 0, and the words for the onset: where its
    number is not said yet, and where it is."""
    beats = onset * 2 if in_eighths else onset
    number, part = divmod(beats, 1)
    word = _PARTS.get(part)
    if word is None:
        return number, f"{number + 1}+{part}", f"{number + 1}+{part}"
    return number, f"{number + 1}{word}", word or f"{number + 1}"


_SHARES = {
    Fraction(1, 4): "a quarter of a beat",
    Fraction(1, 3): "a third of a beat",
    Fraction(1, 2): "half a beat",
    Fraction(2, 3): "two thirds of a beat",
    Fraction(3, 4): "three quarters of a beat",
    Fraction(3, 2): "one and a half beats",
}


def too_long(length: Fraction, meter: Meter) -> str:
    """``half a beat too long``: how a length in quarter notes differs from a full measure."""
    by = length - meter.length
    return f"{as_beats(abs(by), meter)} too {'long' if by > 0 else 'short'}"


def as_beats(length: Fraction, meter: Meter) -> str:
    """A length in quarter notes as beats of the meter: ``half a beat``, ``2 1/2 beats``."""
    beats = length / meter.beat
    if beats in _SHARES:
        return _SHARES[beats]
    whole, rest = divmod(beats, 1)
    if not whole:
        return f"{beats} of a beat"
    return f"{whole} {rest} beats" if rest else f"{whole} beat{'s' if whole > 1 else ''}"


def as_ranges(numbers: Sequence[int]) -> str:
    """Numbers of measures in order: ``1, 3-5``."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ", ".join(f"{a}" if a == b else f"{a}-{b}" for a, b in runs)


def renumbered(reasons: Sequence[str], places: Sequence[int]) -> tuple[str, ...]:
    """Reasons that name other measures of the tab, where these are only some of it: by their
    ``places`` in the whole."""
    called = [f"measure {place + 1} of the tab" for place in places]
    return as_printed(reasons, called)


def as_printed(reasons: Sequence[str], called: Sequence[str]) -> tuple[str, ...]:
    """Reasons that name other measures of the tab, by what each of them is called where it is
    printed: ``measure 3``, ``the pickup``."""
    return tuple(
        _OF_THE_TAB.sub(lambda m: called[int(m["index"]) - 1], reason)
        if "of the tab" in reason
        else reason
        for reason in reasons
    )
