"""Headings whose names are one letter each: ``T: The Ferry Cat``, ``M: 6/8``, ``K: D``.

Source: abc notation 2.1, section 3, information fields (letters from memory). Those who keep tunes
so type the same head over tab. ``T`` and ``M`` are fingers elsewhere, so the lines must say a title
and a time or a key.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from rollstave.patterns import rare
from rollstave.reading.state import ReadingState

_NAMES: Mapping[str, str] = {
    **{"T": "Title", "C": "Composer", "M": "Time", "K": "Key", "Q": "Tempo", "S": "Source"},
    **{"Z": "Transcriber"},
    # Nothing in tab is as long as the unit of another notation says.
    **dict.fromkeys("XLRNOHBDFG", "Remark"),
}
_LINE = rare(r"\s*(?P<name>[A-Z]):\s*(?P<value>\S.*)")
_TIME = rare(r"(?:\d{1,2}/\d{1,2}|C\|?)\s*$")
_KEY = rare(r"[A-G][#b]?\s?(?:m|min|maj|dor|mix|phr|lyd|loc|aeo)?\w*\s*$", re.IGNORECASE)
_MOST_LINES = 40  # before the first tab


def letter_heads(state: ReadingState) -> None:
    """Put the names of headings for their letters, where a head has a title and a time or key."""
    found: list[tuple[int, re.Match[str]]] = []
    for index, line in enumerate(state.lines[:_MOST_LINES]):
        match = _LINE.match(line.text) if ":" in line.text[:12] else None
        if match is not None and match["name"] in _NAMES:
            found.append((index, match))
    said = {match["name"]: match["value"] for _, match in reversed(found)}
    if "T" not in said or not (
        _TIME.match(said.get("M", "")) or ("K" in said and _KEY.match(said["K"]))
    ):
        return
    for index, match in found:
        name, (start, end) = match["name"], match.span("name")
        line = state.lines[index]
        if _NAMES[name] == "Remark":
            # The letter belongs to what is kept.
            state.lines[index] = line.without(start, start, "Remark: ")
        else:
            state.lines[index] = line.without(start, end, _NAMES[name])
