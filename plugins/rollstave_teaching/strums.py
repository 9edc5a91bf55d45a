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

BASS, OTHER, DOWN, UP, UPPER, REST = "bass", "other bass", "down", "up", "strum", "rest"
_TOP = 3  # strings that an upstroke or a strum after a bass takes
_SIGNS = {"B": BASS, "A": OTHER, "D": DOWN, "U": UP, "S": UPPER, "-": REST}


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
    def told(self) -> str:
        """``bass, strum, other bass, strum``."""
        whats = (stroke.what for stroke in self.strokes)
        return ", ".join(f"string {what}" if what.isdecimal() else what for what in whats)


class _Kind(Struct, frozen=True):
    """A pattern: signs of strokes for each time (``D2`` is one of two units, where any has a
    number). ``other_names`` are what it may be called besides; it is the usual one on the
    instruments ``usual_on``."""

    name: str
    how: str
    times: dict[str, str]
    other_names: tuple[str, ...] = ()
    usual_on: tuple[str, ...] = ()


_KINDS = (
    _Kind(
        name="bass and strum",
        how="The bass is the lowest string of the chord, the other bass the next one; the strum "
        "goes down over the three highest strings.",
        times={"4/4": "BSAS", "2/4": "BS", "3/4": "BSS", "6/8": "BSSASS"},
        other_names=("bass", "boom chick"),
    ),
    _Kind(
        name="arpeggio",
        how="The thumb has the bass, the index finger string 3, the middle finger string 2, the "
        "ring finger string 1; let the strings ring.",
        times={"4/4": "B3231323", "2/4": "B3231323", "3/4": "B32123", "6/8": "B32123"},
        other_names=("fingerpicking", "picking"),
    ),
    _Kind(
        name="down and up strum",
        how="The hand goes down and up all the time, also where it strikes nothing; an upstroke "
        "takes the three highest strings.",
        times={"4/4": "D2D1U2U1D1U1", "2/4": "D2D1U1", "3/4": "D2D1U1D1U1", "6/8": "D2U1D2U1"},
        other_names=("strum", "island"),
        usual_on=("ukulele", "baritone ukulele"),
    ),
    _Kind(
        name="strum on every beat",
        how="Every stroke goes down over all strings of the chord, each as loud as the others.",
        times={"4/4": "DDDD", "2/4": "DD", "3/4": "DDD", "6/8": "D2D1D2D1"},
        other_names=("four to the bar", "every beat"),
        usual_on=("tenor banjo", "plectrum banjo"),
    ),
    _Kind(
        name="chop",
        how="Strike after the beat, and let the fingers up at once, so that the chord is short; "
        "the side of the hand damps a string that is open.",
        times={"4/4": "-D-D", "2/4": "-D", "3/4": "-DD", "6/8": "-2D1-2D1"},
        usual_on=("mandolin", "fiddle"),
    ),
)
_AS = {"2/2": "4/4"}  # a time that has the strokes of another


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
        kind = _kind(words, wanted) if wanted else _usual(instrument)
        strokes = tuple(_strokes(kind.times[_AS.get(time, time)]))
        found = Strum(name=kind.name, strokes=strokes, how=kind.how)
    beats, _, unit = time.partition("/")
    return Meter(int(beats), int(unit)), found


def _usual(instrument: Instrument) -> _Kind:
    """What is usual on an instrument; where nothing is said of it, the first."""
    return next((kind for kind in _KINDS if instrument.name in kind.usual_on), _KINDS[0])


def _kind(words: str, wanted: str) -> _Kind:
    named = {name: kind for kind in _KINDS for name in (kind.name, *kind.other_names)}
    kind = named.get(wanted)
    if kind is None:
        meant = get_close_matches(wanted, named, n=1, cutoff=0.7)
        known = listed([kind.name for kind in _KINDS])
        said = f"; did you mean {meant[0]}?" if meant else f": there are {known}"
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
