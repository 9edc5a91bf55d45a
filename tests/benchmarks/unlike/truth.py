"""The truth of a text: tunes, their facts, their measures. Times are quarter notes.

A note is typed ``string:fret`` with marks behind it: ``h p s t`` for how it is reached, ``=`` for
a tie, ``b`` bend, ``~`` vibrato, ``x`` muted, ``*`` harmonic, ``g`` ghost. A time that is None is
left open by the text.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import Any

NOTE = re.compile(r"(?P<string>\d):(?P<fret>\d*\+?)(?P<marks>.*)")


@dataclass(frozen=True)
class TrueNote:
    """A note: its string, its fret as typed on the long neck, its marks in order."""

    string: int
    fret: str
    marks: str


@dataclass(frozen=True)
class TrueEvent:
    onset: Fraction | None
    duration: Fraction | None
    notes: frozenset[TrueNote]


@dataclass(frozen=True)
class TrueMeasure:
    length: Fraction | None
    events: tuple[TrueEvent, ...]
    left: str = ""
    right: str = ""
    ending: str = ""
    section: str = ""
    chords: tuple[tuple[Fraction, str], ...] = ()
    letters: tuple[str, ...] = ()


@dataclass(frozen=True)
class TrueTune:
    facts: dict[str, Any]
    measures: tuple[TrueMeasure, ...]
    remarks: tuple[str, ...] = ()
    doubtful: tuple[str, ...] = field(default=())


def load(path: Path) -> tuple[TrueTune, ...]:
    """The truth of a file."""
    return tuple(_tune(tune) for tune in json.loads(path.read_text(encoding="utf-8"))["tunes"])


def _tune(data: dict[str, Any]) -> TrueTune:
    return TrueTune(
        {k: v for k, v in data.items() if k not in ("measures", "remarks", "doubtful")},
        tuple(_measure(m) for m in data["measures"]),
        tuple(data.get("remarks", ())),
        tuple(data.get("doubtful", ())),
    )


def _measure(data: dict[str, Any]) -> TrueMeasure:
    return TrueMeasure(
        _time(data["length"]),
        tuple(
            TrueEvent(_time(onset), _time(duration), frozenset(map(_note, notes.split())))
            for onset, duration, notes in data["notes"]
        ),
        data.get("left", ""),
        data.get("right", ""),
        str(data.get("ending", "")),
        data.get("section", ""),
        tuple((Fraction(at), name) for at, name in data.get("chords", ())),
        tuple(data.get("letters", ())),
    )


def _time(text: str | None) -> Fraction | None:
    return None if text is None else Fraction(text)


def _note(text: str) -> TrueNote:
    match = NOTE.fullmatch(text)
    if match is None:
        raise ValueError(f"{text!r} is no note")
    return TrueNote(int(match["string"]), match["fret"], "".join(sorted(match["marks"])))
