"""Tab in words: the string and the fret of each note, as ``3/0 2/1 5/0`` or ``3:0``.

What is joined by ``+`` or ``&``, or stands in brackets, is struck together; ``=`` or a star holds
the note before, ``r`` is a rest, and a ``q`` behind a note says that it lasts two. A line is a
measure unless bars divide it (common practice, no source).
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from rollstave.patterns import rare
from rollstave.reading.other_ways.made import Made, Onset

_PAIR = rare(r"(\d{1,2})([/:.])(\d{1,2}|[xX])")
_TOGETHER = r"\d{1,2}[/:.](?:\d{1,2}|[xX])"
_BEAT = rare(
    rf"(?P<beat>\({_TOGETHER}(?:[\s,+&]+{_TOGETHER})*\)|{_TOGETHER}(?:[+&]{_TOGETHER})*)"
    r"(?P<long>[ehqw]?)(?=[\s,;|]|$)[,;]?|(?P<held>[=*_~.-]+)(?=[\s,;|]|$)[,;]?"
    r"|(?P<rest>[rR])(?=[\s,;|]|$)[,;]?|(?P<bar>\|+)"
)
_LASTS = {"": 1, "e": 1, "q": 2, "h": 4, "w": 8}  # in slots
_FRONT = rare(
    r"\s*(?:(?:bar|measure|meas|m|no)\b\.?\s*#?\d{1,3}|\d{1,3})\s?[.:)\]](?!\d)\s*", re.IGNORECASE
)
_FEWEST = 8  # notes of a tab
_LEAST = 4  # strings
_MOST = 8
_FRET_FIRST = rare(r"\bfret\s*(?:/|and|,|then|:)\s*string\b", re.IGNORECASE, cues=("fret",))
_FIVE = rare(r"\bg\s?D\s?[GF]|\bg\s?C\s?G|(?i:\b(?:five|5)[- ]string|(?<!tenor )\bbanjo\b)")


def string_and_fret(lines: Sequence[str]) -> Made | None:
    """The rows of such a tab, None for another text, and where a line of it is not understood."""
    found: dict[int, list[list[_Beat]]] = {}
    for index, line in enumerate(lines):
        # Right under a measure a few notes are one, too; elsewhere "4/4 3/4" are times.
        measures = _measures(line, 1 if index - 1 in found else _TIMES + 1)
        if measures is None:
            return None
        if measures:
            found[index] = measures
    beats = [beat for measures in found.values() for measure in measures for beat in measure]
    pairs = [pair for beat in beats if beat != _REST for pair in beat]
    if len(pairs) < _FEWEST or len({sign for _, sign, _ in pairs}) > 1:
        return None
    text = "\n".join(lines)
    turned = _FRET_FIRST.search(text) is not None or max(int(a) for a, _, _ in pairs) > _MOST
    named = [b if turned else a for a, _, b in pairs]
    if not all(name.isdecimal() and 0 < int(name) <= _MOST for name in named):
        return None
    strings = max(map(int, named))
    strings = max(strings, 5 if _FIVE.search(text) else _LEAST)
    made = Made()
    for index, line in enumerate(lines):
        if index not in found:
            made.add(line, index + 1)
            continue
        rows = [[_onset(beat, turned) for beat in measure] for measure in found[index]]
        made.system(rows, [""] * strings, index + 1)
    return made


_Beat = list[tuple[str, str, str]]  # string, what stands between, fret
_REST: _Beat = [("", "", "r")]


def _onset(beat: _Beat, turned: bool) -> Onset:
    """What is typed in which row: a rest in the first."""
    if beat == _REST:
        return {0: "r"}
    return {int(b if turned else a) - 1: a if turned else b for a, _, b in beat}


def _measures(line: str, fewest: int) -> list[list[_Beat]] | None:
    """The measures of a line of strings and frets, of so many notes or with a number before them
    (a rest is as good as one where one is enough); none for a line of words. None for a line that
    begins as one and goes on otherwise."""
    front = _FRONT.match(line)
    at = front.end() if front else len(line) - len(line.lstrip())
    measures: list[list[_Beat]] = [[]]
    notes = 0
    while at < len(line):
        match = _BEAT.match(line, at)
        if match is None:
            return None if (front and notes) or len(_PAIR.findall(line)) > _TIMES else []
        at = match.end()
        at += len(line[at:]) - len(line[at:].lstrip())
        if match["bar"]:
            if measures[-1]:
                measures.append([])
        elif match["rest"]:
            measures[-1].append(_REST)
            notes += fewest == 1
        elif match["held"]:
            measures[-1] += [[] for _ in match["held"]]
        else:
            measures[-1].append([(a, b, c) for a, b, c in _PAIR.findall(match["beat"])])
            measures[-1] += [[] for _ in range(_LASTS[match["long"]] - 1)]
            notes += 1
    return [m for m in measures if m] if notes and (front or notes >= fewest) else []


_TIMES = 3
