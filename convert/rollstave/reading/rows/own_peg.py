"""A short string whose frets are counted from its own peg: words or the frets say so."""

from __future__ import annotations

import re

from rollstave.patterns import rare
from rollstave.problems import Place
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds

_FEWEST = 3  # frets that the short string does not have otherwise
# Common practice counts along the long neck; whoever does not says so in a sentence.
_SAYS = rare(
    r"\b(?:5th|fifth|short|thumb|drone|bottom)\b[^.;!]{0,80}\b(?:from|by|at) (?:its|it's) (?:own )?"
    r"(?:peg|nut)\b"
    r"|\bcount\w*[^.;!]{0,60}\bfrom (?:its|the) (?:own )?(?:5th|fifth|short)[- ]string(?:'s)? "
    r"peg\b",
    re.IGNORECASE,
)
_DENIED = rare(r"\b(?:not(?! (?:raised|retuned|tuned)\b)|n't|never|instead of)\b", re.IGNORECASE)


def counted_from_its_peg(state: ReadingState) -> None:
    """Find the place that says how the short string's frets are counted. Where only the frets say
    so, all of them below the fret where its peg is, that is a warning."""
    short = state.instrument.short_string
    if short is None:
        return
    if place := _said(state):
        state.own_peg = place
        return
    low: list[Place] = []
    for block in state.blocks:
        for system in block.systems:
            row = system.rows[short.string - 1]
            for match in re.finditer(r"\d+", row.body):
                fret = int(match[0][:3])
                if fret > short.peg_fret:
                    return
                if fret:
                    low.append(row.line.place(row.start + match.start()))
    if len(low) < _FEWEST:
        return
    state.own_peg = low[0]
    state.problems.add(
        kinds.OWN_PEG,
        f"string {short.string} has {len(low)} frets below its peg and none above fret "
        f"{short.peg_fret}: they are read as counted from its own peg. If they are not, move them "
        'up; if they are, write "Fifth string: counted from its peg"',
        low[0],
    )


def _said(state: ReadingState) -> Place | None:
    words = [
        line for index, line in enumerate(state.lines) if index not in state.in_block and line.text
    ]
    if not any("peg" in line.text or "nut" in line.text or "PEG" in line.text for line in words):
        return None
    text = " ".join(line.text for line in words)
    match = _SAYS.search(text)
    if match is None or _DENIED.search(match[0]):
        return None
    at = 0
    for line in words:
        at += len(line.text) + 1
        if match.start() < at:
            return line.place(0)
    return None
