"""Stems, beams, flags and dots drawn in characters over or under a system.

Common practice, no source: a ``|`` under a note is its stem; ``_``, ``-`` between two stems is a
beam and ``=`` two; ``\\``, ``/`` or ``'`` after a stem is a flag, a ``.`` its dot, a ``3`` inside a
beam makes a triplet. A drawing may take several lines, whose beams and flags add up.
"""

from __future__ import annotations

import re

from rollstave.patterns import rare

_LINE = re.compile(r"[|_=\\/'.3\s-]+")
_GAP = rare(r"\S\s\s+\S")
# One stem with what touches it: the end of a beam, flags, dots.
_STEM = rare(r"[_=3-]*\|(?:[\\/']+|[_=3-]+)?\.{0,2}")


def stems_of(text: str) -> list[tuple[str, int]] | None:
    """Each stem of a line with what touches it, and its index; None if the line is no drawing."""
    if "|" not in text or not _LINE.fullmatch(text):
        return None
    # What stands between two stems is said of both.
    found: list[tuple[str, int]] = []
    stems = [m.start() for m in re.finditer(r"\|", text)]
    for number, at in enumerate(stems):
        before = stems[number - 1] + 1 if number else 0
        after = stems[number + 1] if number + 1 < len(stems) else len(text)
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
