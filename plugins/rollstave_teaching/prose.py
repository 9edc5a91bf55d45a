"""The teacher's own words, each in the part of the lesson that it speaks of."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec import Struct

from rollstave import Score, Words

_FRETTING = r"(?:index|middle|ring|little|first|second|third|fourth) finger"
# What a remark speaks of, by the words in it; of several rows the first. Ours.
_ABOUT = (
    ("whole", r"\A\S{1,6}\s*=\s"),  # a legend of signs
    (
        "tune-up",
        r"\b(?:re)?tun(?:e|ed|ing) (?:the|to|it|down|up|your|string|again)|\bpegs?\b|\bcapo\b"
        r"|\b(?:out of|in|after|before|check the) tun(?:e\b(?! in)|ing\b)|\bopen strings? sound",
    ),
    (
        "phrases",
        r"\blead(?:s|ing)?[- ]in\b|\bgo(?:es)? back to\b|\bpick-?up\b",
    ),
    (
        "changes",
        r"\bchang(?:e|es|ing) (?:of |from |to |between |the )?(?:an? |the )?"
        r"(?:chords?|shapes?|[A-G](?:#|b)?m?7?\b)|\bchord changes?\b"
        r"|\bfrom [A-G](?:#|b)?m?7? to [A-G](?:#|b)?m?7?\b",
    ),
    (
        # The hand that stops the strings: a finger, or the thumb, on a fret.
        "chords",
        rf"\b{_FRETTING}\b(?!.*\b(?:sing|strike|pluck|pick)).*\bfrets?\b"
        rf"|\bfrets?\b.*\b{_FRETTING}\b|\bthumb frets\b",
    ),
    (
        "right-hand",
        r"\bthumb|\bindex\b|\bmiddle finger|\bright hand|\brolls?\b|\bpluck|\bpinch|\bbrush"
        r"|\bnails?\b|\bstr(?:um|ike|oke)|\bdrones?\b|\bpick(?:s|ed|ing)?\b|\bwrist\b"
        r"|\b(?:on|to) the head\b",
    ),
    (
        "up-the-neck",
        r"\bup the neck\b|\bclimb|\bhigher up\b|\b(?:mov|slid|go)(?:e|es|ing) up\b"
        r"|\bshapes?\b.*\bfret (?:[5-9]|1\d)\b|\bfret (?:[5-9]|1\d)\b.*\bshapes?\b",
    ),
    (
        "chords",
        r"\bchords?\b|\bshapes?\b|\bleft hand|\bbar(?:re|red)?\b|\bfingers?\b|\bhold\b|\bfrets?\b",
    ),
    ("phrases", r"\bphrases?\b|\bmeasures?\b|\bends?\b|\bending\b|\brepeat"),
)


class Said(Struct, frozen=True):
    """A paragraph of the typist's, the part that it belongs to, and the index of the measure
    before which it stood."""

    part: str
    text: str
    measure: int


def prose(score: Score) -> tuple[Said, ...]:
    """All paragraphs. Lines that go on in the middle of a sentence are one."""
    places = score.note_measures or (0,) * len(score.notes)
    found: list[tuple[str, int]] = []
    for line, place in zip(score.notes, places, strict=True):
        goes_on = bool(found) and found[-1][1] == place and found[-1][0][-1:] not in ".!?:"
        if goes_on and not line[:1].isupper():
            found[-1] = (f"{found[-1][0]} {line}", place)
        else:
            found.append((line, place))
    legend = {sign.sign for sign in score.signs}
    return tuple(
        Said(part=_part(text, place), text=text, measure=place)
        for text, place in found
        if not any(text.startswith(f"{sign} =") for sign in legend)
    )


def _part(text: str, place: int) -> str:
    for part, words in _ABOUT:
        if re.search(words, text, re.IGNORECASE):
            return part
    return "phrases" if place else "whole"


def words_of(score: Score, part: str, begin: int = 0, end: int | None = None) -> Sequence[Words]:
    """The paragraphs of a part, of those that stood before certain measures; each says where it
    stood."""
    last = len(score.measures) + 1 if end is None else end
    found = []
    for said in prose(score):
        if said.part == part and begin <= said.measure < last:
            found.append(Words(text=_headed(score, said), teacher=True))
    return found


def _headed(score: Score, said: Said) -> str:
    if not 0 < said.measure < len(score.measures):
        return said.text
    measure = score.measures[said.measure]
    return f"{measure.section or measure.called.capitalize()}: {said.text}"
