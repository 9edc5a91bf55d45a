"""A roll as somebody names it on a command line: by its name, by fingers, or by strings.

Names and finger orders are common practice, from memory, as are the strings that the fingers of a
fixed hand take: thumb 5, 4 and 3, index 2, middle 1.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from difflib import get_close_matches

from msgspec import Struct

from rollstave import Finger, Meter, Problem, Severity, TabError

Strings = tuple[int, ...]


class Roll(Struct, frozen=True):
    """Single strokes that fill a measure evenly: a finger and a string for each, and what the
    trade calls them, if it has a name."""

    fingers: tuple[Finger, ...]
    strings: Strings
    name: str = ""

    @property
    def letters(self) -> str:
        """``TITIMITI``."""
        return "".join(finger.value for finger in self.fingers)

    @property
    def called(self) -> str:
        """Its name, or its letters."""
        return self.name or f"roll {self.letters}"

    @property
    def short(self) -> str:
        """The name without what every roll is: ``forward``, ``TITM``."""
        return re.sub(r" (?:roll|pattern)(?= in three|$)", "", self.name) or self.letters


def _roll(name: str, fingers: str, strings: str) -> Roll:
    return Roll(
        name=name,
        fingers=tuple(Finger(letter) for letter in fingers),
        strings=tuple(int(digit) for digit in strings),
    )


ROLLS: tuple[Roll, ...] = (
    _roll("forward roll", "TIMTIMTM", "32152151"),
    _roll("backward roll", "MITMITMT", "12512515"),
    _roll("forward-reverse roll", "TIMTMITM", "32151231"),
    _roll("alternating thumb roll", "TITMTITM", "32514251"),
    _roll("paired pattern", "TITIMITI", "42521232"),
    _roll("forward roll in three", "TIMTIM", "321521"),
    _roll("backward roll in three", "MITMIT", "125125"),
)
# Strokes of a roll in each time.
STROKES = {"4/4": 8, "2/2": 8, "2/4": 8, "3/4": 6, "6/8": 6}
_USUAL = {8: "4/4", 6: "3/4"}
_FINGERS = {1: Finger.MIDDLE, 2: Finger.INDEX, 3: Finger.THUMB, 4: Finger.THUMB, 5: Finger.THUMB}
_THUMBS = (3, 5, 4, 5)  # strings of the thumb where nothing else is known, in turn


def refusal(message: str) -> TabError:
    """The error that says why there is no such drill."""
    return TabError((Problem(severity=Severity.ERROR, code="no-rework", message=message),))


def rolls_in(time: str) -> tuple[Roll, ...]:
    """The rolls that have a name and fill a measure of a time."""
    return tuple(roll for roll in ROLLS if len(roll.strings) == STROKES[time])


def time_and_roll(time: str, words: str) -> tuple[Meter, Roll]:
    """The time and the roll that are asked for; of what is not said, the usual one. Raises
    TabError for a roll that does not fit, and says what there is."""
    if time and time not in STROKES:
        raise refusal(f"--time {time}: there are rolls in {', '.join(STROKES)}")
    found = _read(words, time) if words else None
    if found is None:
        time = time or "4/4"
        found = rolls_in(time)[-1 if STROKES[time] == 8 else 0]
    count = len(found.strings)
    time = time or _USUAL.get(count, "4/4")
    if count != STROKES[time]:
        others = " or ".join(_in_time(n) for n in sorted(set(STROKES.values()), reverse=True))
        raise refusal(f"--roll {words}: it has {_strokes(count)}; a roll has {others}")
    beats, _, unit = time.partition("/")
    return Meter(int(beats), int(unit)), found


def _in_time(count: int) -> str:
    times = [time for time, strokes in STROKES.items() if strokes == count]
    return f"{count} in {', '.join(times[:-1])} and {times[-1]}"


def _strokes(count: int) -> str:
    return f"{count} stroke{'s' * (count != 1)}"


def _read(words: str, time: str) -> Roll:
    bare = re.sub(r"[\s,.|-]", "", words)
    if bare.isdigit():
        return _by_strings(words, bare)
    if named := _by_name(words, time):
        return named
    letters = bare.upper()
    odd = next((letter for letter in bare if letter.upper() not in "TIM"), None)
    if odd is not None:
        meant = get_close_matches(words.strip().lower(), list(_names()), n=1, cutoff=0.7)
        if meant:
            raise refusal(
                f"--roll {words}: there is no roll of that name; did you mean {meant[0]}?"
            )
        raise refusal(
            f"--roll {words}: {odd!r} is no finger of the right hand. Write T (thumb), I (index) "
            "and M (middle) for the strokes of a measure, the strings (42521232), or a name: "
            f"{', '.join(_names())}"
        )
    known = next((roll for roll in ROLLS if roll.letters == letters), None)
    return known or _by_fingers(letters)


def _names() -> Iterator[str]:
    return (roll.short for roll in ROLLS)


def _by_name(words: str, time: str) -> Roll | None:
    wanted = re.sub(r"[\s_-]+(?:roll|pattern)\b", "", words.strip().lower())
    wanted = re.sub(r"[\s_-]+", " ", wanted)
    in_three = f"{wanted} in three"
    names = {re.sub(r"[\s-]+", " ", roll.short): roll for roll in ROLLS}
    if time and STROKES[time] == 6 and in_three in names:
        return names[in_three]
    return names.get(wanted)


def _by_strings(words: str, digits: str) -> Roll:
    odd = next((digit for digit in digits if digit not in "12345"), None)
    if odd is not None:
        raise refusal(f"--roll {words}: there is no string {odd}; they are 1 to 5")
    strings = tuple(map(int, digits))
    known = next((roll for roll in ROLLS if roll.strings == strings), None)
    return known or Roll(fingers=tuple(_FINGERS[n] for n in strings), strings=strings)


def _by_fingers(letters: str) -> Roll:
    """A roll without a name: the thumb goes between the bass and the short string."""
    thumbs = 0
    strings = []
    for letter in letters:
        if letter == "T":
            strings.append(_THUMBS[thumbs % len(_THUMBS)])
            thumbs += 1
        else:
            strings.append(2 if letter == "I" else 1)
    return Roll(fingers=tuple(map(Finger, letters)), strings=tuple(strings))
