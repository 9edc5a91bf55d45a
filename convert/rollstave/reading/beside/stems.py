"""Stems, beams, flags and dots drawn in characters over or under a system.

Common practice, no source: a ``|`` under a note is its stem; ``_``, ``-`` between two stems is a
beam and ``=`` two; ``\\``, ``/`` or ``'`` after a stem is a flag, a ``.`` its dot, a ``3`` inside a
beam makes a triplet. A ``d`` by itself is a half note: its open head and its stem. A drawing may
take several lines, whose beams and flags add up.
"""

from __future__ import annotations

import re

from rollstave.patterns import rare

_LINE = re.compile(r"[|_=\\/'.3\s-]+")
_GAP = rare(r"\S\s\s+\S")
# A half note: between stems, not at the margin, where it is the label of a row.
_HALF = rare(r"(?<=\s)(?<=..)d\.?(?!\S)", cues=("d",))
_FEWEST_BESIDE = 2  # stems of a line with half notes
# One stem with what touches it: the end of a beam, flags, dots.
_STEM = rare(r"[_=3-]*\|(?:[\\/']+|[_=3-]+)?\.{0,2}")


def stems_of(text: str) -> list[tuple[str, int]] | None:
    """Each stem of a line with what touches it, and its index; None if the line is no drawing."""
    halves = [(m[0], m.start()) for m in _HALF.finditer(text)] if "d" in text else []
    if halves:
        stems = stems_of(_HALF.sub(lambda m: " " * len(m[0]), text))
        if stems is None or len(stems) < _FEWEST_BESIDE:
            return None
        return sorted([*stems, *halves], key=lambda found: found[1])
    if "|" not in text or not _LINE.fullmatch(text):
        return None
    # What stands between two stems is said of both.
    found: list[tuple[str, int]] = []
    strokes = [m.start() for m in re.finditer(r"\|", text)]
    for number, at in enumerate(strokes):
        before = strokes[number - 1] + 1 if number else 0
        after = strokes[number + 1] if number + 1 < len(strokes) else len(text)
        left = text[before:at].split(" ")[-1].lstrip("\\/'.")
        right = text[at + 1 : after].split(" ")[0]
        touching = f"{left}|{right}"
        if not _STEM.fullmatch(touching):
            return None
        found.append((touching, at))
    loose = re.sub(r"\S*\|\S*", "", text).strip()
    return None if loose else found


def looks_drawn(text: str) -> bool:
    """True if a line that could be a row is a drawing of stems: no frets, and stems apart with
    nothing drawn between them."""
    return bool(_LINE.fullmatch(text)) and "|" in text and bool(_GAP.search(text.strip()))
