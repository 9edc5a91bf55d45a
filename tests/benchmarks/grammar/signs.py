"""The kinds of rows in the tables of signs."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Links:
    """The signs of slurs and slides, and the lines that define them."""

    signs: dict[str, str]
    legend: tuple[str, ...] = ()


@dataclass(frozen=True)
class Marks:
    """A manner of playing: its mark in the truth, how it is typed, what defines it."""

    mark: str
    typed: str
    legend: str = ""


@dataclass(frozen=True)
class Tie:
    typed: str
    legend: str


@dataclass(frozen=True)
class Rest:
    sign: str
    legend: str


@dataclass(frozen=True)
class Endings:
    """The signs of the first and the second ending.

    ``own``: on lines of their own; ``behind``: at the end of the first row; ``apart``: with a
    blank line after them.
    """

    signs: tuple[str, str]
    own: bool = False
    behind: bool = False
    apart: bool = False


@dataclass(frozen=True)
class Counts:
    """A line of counts or letters: the sign of an off beat, columns it stands off, a label."""

    off: str = ""
    shift: int = 0
    label: str = ""
    over: bool = False
    once: bool = False
    small: bool = False


@dataclass(frozen=True)
class Chords:
    """Where chords stand and how each is typed."""

    place: str
    form: str = "{}"
    heading: str = ""
    same: str = ""  # for the chord of the measure before


@dataclass(frozen=True)
class Jump:
    """The words of a jump at the end, and what stands over the parts' first measures."""

    text: str
    over: tuple[str, ...] = ()
