"""Fingers of the picking hand that a sentence of the typist asks for: "where the measure starts on
the first string, let the middle finger sing".

A sentence asks for one finger on one string, from where it stands to the end of its part; at the
beginning of measures alone where it says so. What it says of the left hand, or not to do, asks for
nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from rollstave.deciding.hands import Hand
from rollstave.patterns import rare
from rollstave.score.records import Finger, Measure

_FINGERS = {"thumb": Finger.THUMB, "index": Finger.INDEX, "middle": Finger.MIDDLE}
_STRINGS = ("first", "second", "third", "fourth", "fifth")
_FINGER = rare(r"\b(thumb|index|middle)\b", re.IGNORECASE, cues=("thumb", "index", "middle"))
_STRING = rare(r"\b(first|second|third|fourth|fifth)\s+string\b", re.IGNORECASE, cues=("string",))
_AT_STARTS = rare(
    r"\b(?:measure|bar)s?\s+(?:starts?|begins?|opens?)\b", re.IGNORECASE, cues=("measure", "bar")
)
_OTHERWISE = rare(
    r"\b(?:never|not|no|without|left|frets?|hammer\w*|pull\w*|slides?|press\w*|hold\w*|chord|"
    r"stop\w*)\b|n't\b",
    re.IGNORECASE,
)
_SENTENCE = rare(r"[.!?;]+")


class Asked(Struct, frozen=True):
    """A finger for a string; at the beginning of a measure alone, or everywhere in it."""

    finger: Finger
    string: int
    at_start: bool


def asked_fingers(
    notes: Iterable[tuple[int | None, str]], measures: Sequence[Measure], hand: Hand
) -> Mapping[int, Asked]:
    """What sentences ask for, by the index of the measure. ``notes`` are the typist's lines, each
    with the index of the measure before which it stands."""
    found: dict[int, Asked] = {}
    for place, asked in _asked(notes):
        if asked.finger not in hand.costs:
            continue
        for index in range(place, len(measures)):
            if index > place and place and measures[index].section:
                break
            found[index] = asked
    return found


def _asked(notes: Iterable[tuple[int | None, str]]) -> Iterator[tuple[int, Asked]]:
    joined: dict[int, str] = {}
    for place, line in notes:
        joined[place or 0] = f"{joined.get(place or 0, '')} {line}"
    for place, words in joined.items():
        if not _FINGER.search(words):
            continue
        for sentence in _SENTENCE.split(words):
            fingers = {word.lower() for word in _FINGER.findall(sentence)}
            strings = {word.lower() for word in _STRING.findall(sentence)}
            if len(fingers) == len(strings) == 1 and not _OTHERWISE.search(sentence):
                string = _STRINGS.index(strings.pop()) + 1
                yield (
                    place,
                    Asked(
                        finger=_FINGERS[fingers.pop()],
                        string=string,
                        at_start=_AT_STARTS.search(sentence) is not None,
                    ),
                )
