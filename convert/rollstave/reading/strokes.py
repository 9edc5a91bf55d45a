"""Frets and signs: one row's part of a measure becomes strokes.

A fret is one token with what clings to it: ``(2)``, ``<12>``, ``7b``, ``5~``. A sign between
two frets says how the second is reached: ``2h3``. ``SIGNS`` is the table of those signs.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from rollstave.grid.model import Column, Link, SlideEdge, Stroke
from rollstave.problems import Place, ProblemList
from rollstave.reading.rows import Cell

SIGNS: dict[str, Link] = {
    "h": Link.HAMMER_ON,
    "H": Link.HAMMER_ON,
    "p": Link.PULL_OFF,
    "P": Link.PULL_OFF,
    "s": Link.SLIDE,
    "S": Link.SLIDE,
    "/": Link.SLIDE,
    "\\": Link.SLIDE,
    "=": Link.TIE,
}
BEND_SIGNS = "b^cB"
_NOTE = re.compile(r"(?P<open>[(<]?)(?P<fret>\d{1,3}|[xX])(?P<close>[)>]?)(?P<star>\*?)")
_BEND = re.compile(r"[b^cB](?:\(?(?P<target>\d{1,2})\)?|(?P<full>full)|(?P<half>1/2|½))?")
_WORDS = re.compile(r"[^\s\-|.]+")


@dataclass
class RowReading:
    """What one cell holds: its strokes by character index, and signs left for the next cell."""

    strokes: list[tuple[int, Stroke]] = field(default_factory=list)
    sign_widths: dict[int, int] = field(default_factory=dict)
    pending: Link | None = None


def read_cell(
    cell: Cell,
    string: int,
    last_fret: int,
    carried: Link | None,
    has_earlier: bool,
    problems: ProblemList,
) -> RowReading:
    """Read one cell. ``carried`` is a sign typed before the bar; unread characters are reported.

    ``last_fret`` is the last fret of the neck: of two digits that make a higher number the
    first is reported as beyond the neck, since nothing says that they are two notes.
    """
    text = cell.text
    reading = RowReading(pending=carried)
    sign_at: int | None = None
    edge: SlideEdge | None = None
    sign_width = 0
    index = 0
    while index < len(text):
        char = text[index]
        place = cell.row.line.place(cell.start + index)
        if char in "-. ":
            index += 1
            continue
        if match := _NOTE.match(text, index):
            stroke, consumed, digits = _stroke(match, string, place, cell, text, problems)
            if reading.pending is not None and not (reading.strokes or has_earlier):
                edge = _edge(reading.pending, text[sign_at or 0])
            linked = reading.pending if (reading.strokes or has_earlier) else None
            stroke = replace(stroke, link=linked, slide_from=edge)
            reading.strokes.append((digits, stroke))
            if sign_width:
                reading.sign_widths[digits] = sign_width
            reading.pending, edge, sign_width, sign_at = None, None, 0, None
            index += consumed
            continue
        if char == "~" or char == "v":
            _amend(reading, vibrato=True)
        elif char in BEND_SIGNS and reading.strokes:
            match = _BEND.match(text, index)
            assert match is not None
            fret = reading.strokes[-1][1].fret
            _amend(reading, bend=_bend_size(match, fret))
            index += match.end() - match.start()
            continue
        elif char in SIGNS:
            if reading.pending is None:
                reading.pending, sign_at = SIGNS[char], index
            sign_width += 1
        else:
            word = _WORDS.match(text, index)
            unread = word[0] if word and not word[0][0].isdigit() else char
            problems.warn(
                "unread",
                f"{unread!r} is not understood here; it is left out of the music",
                place,
            )
            index += len(unread)
            continue
        index += 1
    _close(reading, text, sign_at)
    return reading


def _stroke(
    match: re.Match[str],
    string: int,
    place: Place,
    cell: Cell,
    text: str,
    problems: ProblemList,
) -> tuple[Stroke, int, int]:
    """The stroke of a match, how many characters it takes, and the index of its digits."""
    digits = match.start("fret")
    at = cell.row.line.place(cell.start + digits)
    muted = match["fret"] in "xX"
    consumed = match.end() - match.start()
    harmonic = match["open"] == "<" or bool(match["star"])
    ghost = match["open"] == "("
    if bool(match["open"]) != bool(match["close"]):
        if match["close"] and not match["open"]:
            consumed = match.end("fret") - match.start()
        else:
            problems.warn(
                "bracket",
                f"the bracket {match['open']!r} is not closed after fret {match['fret']}",
                place,
            )
    fret = None if muted else int(match["fret"])
    stroke = Stroke(string, fret, at, consumed, muted=muted, ghost=ghost, harmonic=harmonic)
    return stroke, consumed, digits


def _bend_size(match: re.Match[str], fret: int | None) -> int:
    """Semitones of a bend: what the typist wrote, else a whole step (common practice)."""
    if match["half"]:
        return 1
    if match["target"] and fret is not None:
        rise = int(match["target"]) - fret
        return rise if 1 <= rise <= 4 else 2
    return 2


def _amend(reading: RowReading, **changes: object) -> None:
    if reading.strokes:
        digits, stroke = reading.strokes[-1]
        reading.strokes[-1] = (digits, replace(stroke, **changes))  # type: ignore[arg-type]


def _edge(link: Link, sign: str) -> SlideEdge | None:
    """A slide sign before the first note of a string: a slide from nowhere."""
    if link is not Link.SLIDE:
        return None
    return SlideEdge.DOWN if sign == "\\" else SlideEdge.UP


def _close(reading: RowReading, text: str, sign_at: int | None) -> None:
    """A sign without a note after it in the cell: a slide to nowhere, or carried over the bar.

    Only a sign in the last two characters is carried; an earlier one has no target.
    """
    if reading.pending is None or sign_at is None:
        return
    if sign_at >= len(text) - 2:
        return
    if reading.pending is Link.SLIDE:
        _amend(reading, slide_to=SlideEdge.UP if text[sign_at] == "/" else SlideEdge.DOWN)
    reading.pending = None


def into_columns(
    by_string: dict[int, list[tuple[int, Stroke]]], sign_widths: dict[tuple[int, int], int]
) -> tuple[Column, ...]:
    """Strokes of all strings, by position in the measure, gathered into columns.

    A one-digit fret under either digit of a two-digit fret belongs to its column: typists align
    them left or right.
    """
    found = sorted(
        (
            (position, string, stroke)
            for string, strokes in by_string.items()
            for position, stroke in strokes
        ),
        key=lambda item: (item[0], item[1]),
    )
    groups: list[list[tuple[int, int, Stroke]]] = []
    for item in found:
        position, string, stroke = item
        if groups:
            first = groups[-1][0][0]
            two_digit = any(_digits(s) == 2 and p == position - 1 for p, _, s in groups[-1])
            free = all(string != other for _, other, _ in groups[-1])
            if free and (position == first or (position == first + 1 and two_digit)):
                groups[-1].append(item)
                continue
        groups.append([item])
    columns = []
    for group in groups:
        position = group[0][0]
        strokes = tuple(s for _, _, s in sorted(group, key=lambda g: g[1]))
        signs = max((sign_widths.get((string, p), 0) for p, string, _ in group), default=0)
        columns.append(Column(position, strokes, max(s.width for s in strokes), signs))
    return tuple(columns)


def _digits(stroke: Stroke) -> int:
    return len(str(stroke.fret)) if stroke.fret is not None else 1
