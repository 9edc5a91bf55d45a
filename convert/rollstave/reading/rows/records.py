"""Rows, and the systems that they make."""

from __future__ import annotations

import re

from msgspec import Struct, field

from rollstave.problems import Place
from rollstave.reading.page.decode import Line

# A string's letter, as it is typed for a label.
LETTER = r"[A-Ga-g](?:#|♯|♭|b)?"


def without_octave(label: str) -> str:
    """The letter of a label: ``d1`` and ``d'`` are ``d``."""
    return label.rstrip("0123456789'")


class Row(Struct, frozen=True):
    """A row of a system: its line, its label ("" for none), where its body starts and ends.

    What stands after ``end`` are words to the right of the row.
    """

    line: Line
    label: str
    start: int
    end: int

    @property
    def body(self) -> str:
        return self.line.text[self.start : self.end]

    @property
    def figures(self) -> list[str]:
        return re.findall(r"\d+", self.body)

    @property
    def string_label(self) -> str:
        """The label without the octave that may stand behind its letter."""
        return without_octave(self.label)


class Run(Struct, frozen=True):
    """Rows on consecutive lines."""

    start: int
    rows: tuple[Row, ...]

    @property
    def end(self) -> int:
        return self.start + len(self.rows)


class System(Struct, frozen=True):
    """The rows of one system, string 1 first."""

    rows: tuple[Row, ...]


class Block(Struct, frozen=True):
    """Systems with no words between them: lines ``start`` to ``end`` (indices, end excluded)."""

    start: int
    end: int
    systems: tuple[System, ...]


class DigitStyle(Struct):
    """How a file types its frets.

    ``dense`` is True if notes stand in neighbouring columns. ``split`` are the places of the
    numbers that are two notes, by line and index of their first digit.
    """

    dense: bool = False
    split: set[tuple[int, int]] = field(default_factory=set)

    def splits(self, place: Place) -> bool:
        return (place.line, place.column) in self.split
