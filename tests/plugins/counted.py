"""Tunes counted from their typed rows, by nothing of the package: to hold a lesson against.

A row is a line with bar lines that has a fret or a dash between them; rows without a blank line
among them are a system. Everything else is plain counting of characters.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise

ROW = re.compile(r"^\s*([A-Ga-g]?:?)\s*(\|.*-.*\|)\s*$")
CHORD = re.compile(r"(?<!\S)[A-G](?:#|b)?(?:m|7)*(?!\S)")
# Common practice, the older style: thumb on strings 5, 4 and 3, index on 2, middle on 1.
FINGERS = {1: "M", 2: "I", 3: "T", 4: "T", 5: "T"}


@dataclass
class Counted:
    """A measure as it is typed: its chords, and by column which strings have which frets; the
    letters that stand under its columns."""

    chords: list[str]
    frets: dict[int, dict[int, int]]
    letters: dict[int, str]

    def fingers(self) -> str:
        """The fingers of the older style, stroke by stroke; what a slur makes is no stroke."""
        found = []
        for _, struck in sorted(self.frets.items()):
            found.append("+".join(FINGERS[n] for n in sorted(struck, reverse=True)))
        return " ".join(found)

    def thumb(self) -> tuple[int, int] | None:
        """String and fret of the first stroke on string 3 or 4."""
        for _, struck in sorted(self.frets.items()):
            for string in (4, 3):
                if string in struck:
                    return string, struck[string]
        return None


def counted(text: str) -> list[Counted]:
    """All measures in the order of the text."""
    lines = text.splitlines()
    found: list[Counted] = []
    at = 0
    while at < len(lines):
        if not ROW.match(lines[at]):
            at += 1
            continue
        end = at
        while end < len(lines) and ROW.match(lines[end]):
            end += 1
        found += _system(lines[at:end], lines[at - 1], lines[end] if end < len(lines) else "")
        at = end
    return found


def _system(rows: list[str], above: str, under: str) -> list[Counted]:
    bars = [m.start() for m in re.finditer(r"\|", rows[0])]
    made = []
    for left, right in pairwise(bars):
        if right - left < 3:
            continue  # a double bar
        names = [m[0] for m in CHORD.finditer(above) if left <= m.start() < right]
        frets: dict[int, dict[int, int]] = {}
        for string, row in enumerate(rows, start=1):
            for fret in re.finditer(r"\d+", row[left:right]):
                before = row[left + fret.start() - 1]
                if before not in "hps/":  # what a slur makes is no stroke
                    frets.setdefault(left + fret.start(), {})[string] = int(fret[0])
        letters = (
            {
                place: letter
                for place, letter in enumerate(under)
                if left < place < right
                if letter in "TIM"
            }
            if set(under) <= set("TIM ")
            else {}
        )
        made.append(Counted(names, frets, letters))
    return made
