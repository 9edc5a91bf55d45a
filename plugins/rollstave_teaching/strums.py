"""What the picking hand does with a chord where there is no roll: strums, and arpeggios.

A pattern is written as strokes with the time that each takes of a measure. The patterns and what
they are called are common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from difflib import get_close_matches
from fractions import Fraction

from msgspec import Struct

from rollstave import Instrument, Meter, NamedShape
from rollstave_teaching.roll_words import STROKES, refusal
from rollstave_teaching.wording import listed

BASS, OTHER, DOWN, UP, UPPER, REST = "bass", "other bass", "down", "up", "upper", "rest"
_TOP = 3  # strings that an upstroke or a strum after a bass takes
_SIGNS = {"B": BASS, "A": OTHER, "D": DOWN, "U": UP, "S": UPPER, "-": REST}
_SAID = {
    **{BASS: "bass", OTHER: "other bass", DOWN: "down", UP: "up", UPPER: "strum", REST: "rest"},
}


class Stroke(Struct, frozen=True):
    """What is struck, a string by its number or one of the words above, and for which share of
    the measure."""

    what: str
    share: Fraction


class Strum(Struct, frozen=True):
    """A pattern of a measure, what it is called, and how it is played, in a sentence."""

    name: str
    strokes: tuple[Stroke, ...]
    how: str

    @property
    def called(self) -> str:
        """``bass and strum``."""
        return self.name

    @property
    def told(self) -> str:
        """``bass, strum, other bass, strum``."""
        return ", ".join(_SAID.get(s.what, f"string {s.what}") for s in self.strokes)


class _Kind(Struct, frozen=True):
    """A pattern in each time that it is played in: signs of strokes, each with its length in units
    (``D2``, 1 where none stands)."""

    name: str
    how: str
    times: dict[str, str]


_KINDS = (
    _Kind(
        name="bass and strum",
        how="The bass is the lowest string of the chord, the other bass the next one; the strum "
        "goes down over the three highest strings.",
        times={"4/4": "BSAS", "2/2": "BSAS", "2/4": "BS", "3/4": "BSS", "6/8": "BSSASS"},
    ),
    _Kind(
        name="arpeggio",
        how="The thumb has the bass, the index finger string 3, the middle finger string 2, the "
        "ring finger string 1; let the strings ring.",
        times={
            **{"4/4": "B3231323", "2/2": "B3231323", "2/4": "B3231323"},
            **{"3/4": "B32123", "6/8": "B32123"},
        },
    ),
    _Kind(
        name="down and up strum",
        how="The hand goes down and up all the time, also where it strikes nothing; an upstroke "
        "takes the three highest strings.",
        times={
            **{"4/4": "D2D1U2U1D1U1", "2/2": "D2D1U2U1D1U1", "2/4": "D2D1U1"},
            **{"3/4": "D2D1U1D1U1", "6/8": "D2U1D2U1"},
        },
    ),
    _Kind(
        name="strum on every beat",
        how="Every stroke goes down over all strings of the chord, each as loud as the others.",
        times={"4/4": "DDDD", "2/2": "DDDD", "2/4": "DD", "3/4": "DDD", "6/8": "D2D1D2D1"},
    ),
    _Kind(
        name="chop",
        how="Strike after the beat, and let the fingers up at once, so that the chord is short; "
        "the side of the hand damps a string that is open.",
        times={"4/4": "-D-D", "2/2": "-D-D", "2/4": "-D", "3/4": "-DD", "6/8": "-2D1-2D1"},
    ),
)
# What is usual on an instrument; on others the first.
_USUAL = {
    "mandolin": "chop",
    "ukulele": "down and up strum",
    "baritone ukulele": "down and up strum",
    "tenor banjo": "strum on every beat",
    "plectrum banjo": "strum on every beat",
}
_SHORT = {
    **{"bass": "bass and strum", "boom chick": "bass and strum", "fingerpicking": "arpeggio"},
    **{"picking": "arpeggio", "strum": "down and up strum", "island": "down and up strum"},
    **{"four to the bar": "strum on every beat", "every beat": "strum on every beat"},
}


def time_and_strum(time: str, words: str, instrument: Instrument) -> tuple[Meter, Strum]:
    """The time and the pattern that are asked for; of what is not said, the usual one. Raises
    TabError for a pattern that there is none of, and says what there is."""
    if time and time not in STROKES:
        raise refusal(f"--time {time}: there are patterns in {', '.join(STROKES)}")
    wanted = re.sub(r"[\s,_-]+", " ", words.strip().lower())
    time = time or "4/4"
    if wanted.replace(" ", "").isdigit():
        found = _by_strings(words, wanted.replace(" ", ""), time, instrument)
    else:
        kind = _kind(words, wanted or _USUAL.get(instrument.name, _KINDS[0].name))
        found = Strum(name=kind.name, strokes=tuple(_strokes(kind.times[time])), how=kind.how)
    beats, _, unit = time.partition("/")
    return Meter(int(beats), int(unit)), found


def _kind(words: str, wanted: str) -> _Kind:
    name = _SHORT.get(wanted, wanted)
    kind = next((kind for kind in _KINDS if kind.name == name), None)
    if kind is None:
        names = [kind.name for kind in _KINDS]
        meant = get_close_matches(wanted, [*names, *_SHORT], n=1, cutoff=0.7)
        said = f"; did you mean {meant[0]}?" if meant else f": there are {listed(names)}"
        raise refusal(
            f"--roll {words}: that is no pattern of an instrument without a short string{said}"
            + ("" if meant else "; or write the strings of a measure, such as 53231323")
        )
    return kind


def _strokes(signs: str) -> Iterator[Stroke]:
    timed = any(sign in signs for sign in "DU-") and any(map(str.isdigit, signs))
    found = re.findall(r"([BADUS-])(\d)" if timed else r"(.)()", signs)
    units = sum(int(length or 1) for _, length in found)
    for sign, length in found:
        yield Stroke(what=_SIGNS.get(sign, sign), share=Fraction(int(length or 1), units))


def _by_strings(words: str, digits: str, time: str, instrument: Instrument) -> Strum:
    odd = next((d for d in digits if not 1 <= int(d) <= instrument.strings), None)
    if odd is not None:
        last = instrument.strings
        raise refusal(f"--roll {words}: there is no string {odd}; they are 1 to {last}")
    if len(digits) != STROKES[time]:
        many = f"{len(digits)} stroke{'s' * (len(digits) != 1)}"
        raise refusal(f"--roll {words}: it has {many}; a measure of {time} has {STROKES[time]}")
    strokes = tuple(Stroke(what=d, share=Fraction(1, len(digits))) for d in digits)
    return Strum(name=f"arpeggio {digits}", strokes=strokes, how="Let the strings ring.")


def struck_strings(stroke: str, shape: NamedShape) -> tuple[int, ...]:
    """The strings of a shape that a stroke takes, the highest first; none for a rest and for a
    string that the shape leaves out."""
    held = [n for n, fret in enumerate(shape.frets, start=1) if fret is not None]
    if stroke == DOWN:
        return tuple(held)
    if stroke in (UP, UPPER):
        return tuple(held[:_TOP])
    if stroke in (BASS, OTHER):
        return (held[-2],) if stroke == OTHER and len(held) > 1 else (held[-1],)
    if stroke == REST:
        return ()
    string = int(stroke)
    return (string,) if string in held else ()
