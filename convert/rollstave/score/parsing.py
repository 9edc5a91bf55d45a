"""Keys and tunings as a program that uses the package reads them: wrong arguments are named."""

from __future__ import annotations

from rollstave import pitch
from rollstave.instruments import tunings
from rollstave.instruments.instrument import Instrument, Tuning
from rollstave.pitch import Key
from rollstave.score.wanted import wanted


def parse_tuning(text: str, instrument: Instrument) -> Tuning | None:
    """Read a tuning as typed: letters win over names, also letters in parentheses after a name.

    >>> from rollstave import known_instruments
    >>> parse_tuning("sawmill (gDGCD)", known_instruments()[0]).name
    'sawmill'

    None if it is no tuning of the instrument. Raises WrongArgument for what is no text or no
    instrument.
    """
    wanted(text, str, "a tuning is read from a str")
    wanted(
        instrument,
        Instrument,
        "a tuning is that of an Instrument, such as those of known_instruments()",
    )
    return tunings.parse_tuning(text, instrument)


def parse_key(text: str) -> Key | None:
    """Read ``G``, ``Am``, ``A minor``, ``G dorian``, ``key of D``; None if it is no key.

    ``modal`` (old-time usage, common practice) is read as dorian: minor third, lowered seventh.
    Raises WrongArgument for what is no text.
    """
    wanted(text, str, "a key is read from a str")
    return pitch.parse_key(text)
