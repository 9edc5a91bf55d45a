"""The score that is typed, the lines that come of it, and the document they make.

Times are quarter notes. Strings are counted from the treble side; frets are those of the long neck.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

# What a line is: a closed list.
LABELS = (
    "blank",
    "row",
    "wrapped row",
    "chord row",
    "chart",
    "counts",
    "letters",
    "words to sing",
    "heading",
    "title",
    "part",
    "ending",
    "repeat",
    "triplets",
    "jump",
    "legend",
    "remark",
    "prose",
    "mail header",
    "signature",
    "markup",
    "rule",
    "page",
)


class Unreadable(Exception):
    """A combination that no careful teacher could read: it is drawn anew."""


@dataclass(frozen=True)
class Note:
    """A stopped or open string; ``link`` says how it is reached, ``mark`` how it sounds."""

    string: int
    fret: int
    link: str = ""
    mark: str = ""


@dataclass(frozen=True)
class Event:
    """Notes struck together in a slot, held for a number of slots; no notes are a rest.

    The notes of a triplet stand between slots.
    """

    slot: Fraction
    slots: Fraction
    notes: tuple[Note, ...]
    letter: str = ""
    word: str = ""


@dataclass
class Measure:
    """A measure of a number of slots, with what stands at its bars and over it."""

    slots: int
    events: tuple[Event, ...]
    chords: tuple[tuple[int, str], ...] = ()
    left: str = ""
    right: str = ""
    ending: str = ""
    section: str = ""
    typed_letters: tuple[str, ...] = ()
    typed_chords: bool = False
    same: bool = False  # typed as a sign: as the measure before
    slip: str = ""
    triplets: tuple[int, ...] = ()  # the slots where one begins
    sign: str = ""  # a jump's words over the measure


@dataclass(frozen=True)
class Tuning:
    """A tuning: its instrument, its written form and names, MIDI pitches from the last string
    to the first, the keys played in it. A ``usual`` one need not be named."""

    instrument: str
    written: str
    pitches: tuple[int, ...]
    keys: tuple[str, ...]
    names: tuple[str, ...] = ()
    word: str = ""
    usual: bool = False

    @property
    def strings(self) -> int:
        return len(self.pitches)


@dataclass(frozen=True)
class Meter:
    """A time: its written form, the length of a slot, slots a measure, slots a beat."""

    written: str
    unit: Fraction
    slots: int
    beat: int


@dataclass
class Part:
    name: str
    measures: list[Measure]


@dataclass
class Tune:
    """A score and what is said of it; ``told`` are the facts that the text names."""

    title: str
    tuning: Tuning
    meter: Meter
    key: str
    parts: list[Part]
    capo: int = 0
    tempo: int = 0
    composer: str = ""
    source: str = ""
    style: str = ""
    told: dict[str, Any] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)
    doubtful: list[str] = field(default_factory=list)

    @property
    def measures(self) -> list[Measure]:
        return [measure for part in self.parts for measure in part.measures]


@dataclass(frozen=True)
class Line:
    """A typed line, what it is, and the tune it belongs to."""

    text: str
    label: str
    tune: int = 0


@dataclass(frozen=True)
class Fact:
    """A fact of a heading: as ``label: value``, in short, and as a part of a sentence."""

    name: str
    label: str
    value: str
    short: str
    phrase: str


@dataclass(frozen=True)
class Document:
    """A text, its truth in the form of the unlike texts, its lines, the values it used."""

    name: str
    data: bytes
    truth: dict[str, Any]
    lines: tuple[Line, ...]
    values: dict[str, str]

    @property
    def text(self) -> str:
        return "\n".join(line.text for line in self.lines)
