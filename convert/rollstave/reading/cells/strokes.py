"""Frets and signs: one row's part of a measure becomes strokes.

A fret is one token with what clings to it: ``(2)``, ``<12>``, ``7b``, ``5~``. A sign between
two frets says how the second is reached: ``2h3``. ``signs`` has the table of them.
"""

from __future__ import annotations

import re
from typing import Any

from msgspec import Struct, field
from msgspec.structs import replace

from rollstave.grid.typed import Column, GraceStroke, Link, SlideEdge, Stroke
from rollstave.problems import Place, ProblemList
from rollstave.reading.cells.graces import Graces, grace_at
from rollstave.reading.cells.signs import COMMON, Signs
from rollstave.reading.ledger import Ledger, Use
from rollstave.reading.rows.cutting import Cell
from rollstave.reading.rows.records import DigitStyle as Habits
from rollstave.vocabulary import problems as kinds

_NOTE = re.compile(
    r"(?P<open>[(<]?)(?P<fret>0|[1-9]\d{0,2}|[xX])(?P<half>\+?)(?P<close>[)>]?)(?P<star>\*?)"
)
_PLAIN = re.compile(_NOTE.pattern.replace(r"(?P<half>\+?)", "(?P<half>)"))
_BEND = re.compile(r"\(?(?P<target>\d{1,2})\)?|(?P<full>full)|(?P<half>1/2|½)")
# Brackets around notes that are joined anyhow: (2h4), (4p2p0)
_SLUR = re.compile(r"\(\d{1,2}(?:[hpsHPS/\\]\d{1,2}){1,4}(?P<close>\))")
_LARGEST_BEND = 4  # semitones
_WORDS = re.compile(r"[^\s\-|.\d(<]+")
_WORD_SIGN = re.compile(r"\((?P<inside>[A-Za-z/\\~^]{1,4})\)|(?P<bare>[A-Za-z]{2,4})")


class RowReading(Struct):
    """What one cell holds: its strokes by character index, and signs left for the next cell."""

    strokes: list[tuple[int, Stroke]] = field(default_factory=list)
    sign_widths: dict[int, int] = field(default_factory=dict)
    pending: Link | None = None
    graces: Graces = field(default_factory=Graces)


def read_cell(
    cell: Cell,
    string: int,
    last_fret: int,
    carried: Link | None,
    has_earlier: bool,
    problems: ProblemList,
    signs: Signs = COMMON,
    habits: Habits | None = None,
    ledger: Ledger | None = None,
    half_frets: bool = False,
) -> RowReading:
    """Read one cell. ``carried`` is a sign typed before the bar; unread characters are reported.

    ``signs`` says what signs mean, ``habits`` which numbers are two notes, ``half_frets`` whether
    the neck has frets that are typed ``6+``.

    ``last_fret`` is the last fret of the neck: of two digits that make a higher number the
    first is reported as beyond the neck, since nothing says that they are two notes.
    """
    text = cell.text
    pattern = _NOTE if half_frets else _PLAIN
    line = cell.row.line
    if ledger is not None:
        ledger.claim(line, cell.start, cell.end, Use.MUSIC)
    reading = RowReading(pending=carried)
    graces = reading.graces
    sign_at: int | None = None
    sign_width = 0
    touching = -1  # the index right after the last note and what clings to it
    waiting: list[str] = []  # marks typed before their note, and where
    waits: list[tuple[int, int]] = []
    slur_ends: set[int] = set()  # brackets that close around joined notes
    index = 0
    while index < len(text):
        char = text[index]
        if char in "-. ":
            index += 1
            if graces.found:
                graces.pass_dash()
            continue
        place = line.place(cell.start + index)
        if char in "{(" and (match := grace_at(text, index, signs, half_frets)):
            at = match.start("fret")
            small = GraceStroke(
                string=string,
                fret=int(match["fret"]),
                place=line.place(cell.start + at),
                position=at,
                half=bool(match["half"]),
            )
            graces.add(small, len(match[0]))
            index = touching = match.end()
            continue
        if index in slur_ends:
            index += 1
            continue
        if char == "(" and (slur := _SLUR.match(text, index)):
            slur_ends.add(slur.start("close"))
            index += 1
            continue
        if match := pattern.match(text, index):
            if habits and len(match["fret"]) > 1 and habits.splits(_digits_place(cell, match)):
                match = pattern.match(text, index, match.start("fret") + 1) or match
            stroke, consumed, digits = _stroke(match, string, place, cell, signs, problems)
            link = reading.pending
            if link is Link.SLIDE and reading.strokes and index - (sign_at or 0) > _FAR:
                _slides_away(reading, text[sign_at or 0], line.place(cell.start + index), problems)
                link = None
            if link is not None and not (reading.strokes or has_earlier):
                stroke = replace(stroke, slide_from=_edge(link, text[sign_at or 0]))
            elif link is not None:
                stroke = replace(stroke, link=link)
            reading.strokes.append((digits, stroke))
            if graces.found:
                sign_width += graces.take_note(digits)
            for mark in waiting:
                _amend(reading, mark)
            waiting.clear()
            waits.clear()
            if sign_width:
                reading.sign_widths[digits] = sign_width
            reading.pending, sign_width, sign_at = None, 0, None
            index += consumed
            touching = index
            continue
        sign, width = _sign_at(text, index, signs)
        if sign in _RESTS and _is_rest(reading, text, index, touching):
            index += width
            continue
        if sign in signs.links and graces.take_link(signs.links[sign], width):
            pass
        elif sign in signs.links:
            if reading.pending is None:
                reading.pending, sign_at = signs.links[sign], index
            sign_width += width
        elif sign in signs.marks:
            mark = signs.marks[sign]
            if mark == "brushed" and _releases(text, index, width, touching):
                # 7br7: bent and released, as b and r say it apart
                _amend(reading, "bend")
                reading.pending, sign_at = Link.TIE, index
                sign_width += width
            elif mark == "bend" and reading.strokes:
                fret = reading.strokes[-1][1].fret
                match = _BEND.match(text, index + width)
                if match and match["target"] and not _is_bent_to(match["target"], fret):
                    match = None  # a note of its own
                width += match.end() - match.start() if match else 0
                _amend(reading, "bend", _bend_size(match, fret))
                touching = index + width
            elif index == touching or (mark not in _BEFORE and reading.strokes):
                _amend(reading, mark)
                touching = index + width
            else:
                waiting.append(mark)
                waits.append((index, width))
        else:
            word = _WORDS.match(text, index)
            unread = word[0] if word else char
            problems.add(
                kinds.UNREAD,
                f"{unread!r} is not understood here; it is left out of the music",
                place,
            )
            if ledger is not None:
                ledger.claim(
                    line, cell.start + index, cell.start + index + len(unread), Use.REPORTED
                )
            width = len(unread)
        index += width
    for at, width in waits:
        problems.add(
            kinds.UNREAD,
            f"{text[at : at + width]!r} stands at no note; it is left out of the music",
            line.place(cell.start + at),
        )
        if ledger is not None:
            ledger.claim(line, cell.start + at, cell.start + at + width, Use.REPORTED)
    _close(reading, text, sign_at)
    return reading


_RESTS = ("r", "R")


def _is_rest(reading: RowReading, text: str, index: int, touching: int) -> bool:
    """True if ``r`` stands between dashes, no bent note before it: it is the letter of a rest,
    which the rows say by themselves."""
    alone = index != touching and text[index + 1 : index + 2] in ("-", "", " ")
    bent = bool(reading.strokes) and reading.strokes[-1][1].bend is not None
    return alone and not bent


def _releases(text: str, index: int, width: int, touching: int) -> bool:
    """True if ``br`` stands between two frets that it touches, where nothing is brushed."""
    between = index == touching and text[index + width : index + width + 1].isdigit()
    return between and text[index : index + width].lower() == "br"


_FAR = 8  # characters between a slide sign and its note; no hand slides that long
# Marks that may stand before their note with dashes between.
_BEFORE = ("brushed", "let_ring", "harmonic")


def _sign_at(text: str, index: int, signs: Signs) -> tuple[str, int]:
    """The sign at an index and its width: a word (``sl``), one in brackets, or one character."""
    if match := _WORD_SIGN.match(text, index):
        word = match["inside"] or match["bare"]
        for known in (word, word.lower()):
            if known in signs:
                return known, match.end() - index
    return text[index], 1


def _digits_place(cell: Cell, match: re.Match[str]) -> Place:
    return cell.row.line.place(cell.start + match.start("fret"))


def _stroke(
    match: re.Match[str],
    string: int,
    place: Place,
    cell: Cell,
    signs: Signs,
    problems: ProblemList,
) -> tuple[Stroke, int, int]:
    """The stroke of a match, how many characters it takes, and the index of its digits."""
    digits = match.start("fret")
    at = cell.row.line.place(cell.start + digits)
    muted = match["fret"] in "xX"
    consumed = match.end() - match.start()
    star = bool(match["star"]) and "*" not in signs  # else the tab's own legend says what it is
    if match["star"] and not star:
        consumed = match.start("star") - match.start()
    harmonic = match["open"] == "<" or star
    round_brackets = match["open"] == "("
    if bool(match["open"]) != bool(match["close"]):
        if match["close"] and not match["open"]:
            consumed = match.end("half") - match.start()
        else:
            problems.add(
                kinds.BRACKET,
                f"the bracket {match['open']!r} is not closed after fret {match['fret']}",
                place,
            )
    fret = None if muted else int(match["fret"])
    stroke = Stroke(
        string=string,
        fret=fret,
        place=at,
        width=consumed,
        link=Link.TIE if round_brackets and signs.brackets == "tie" else None,
        muted=muted,
        ghost=round_brackets and signs.brackets == "ghost",
        harmonic=harmonic,
        let_ring=round_brackets and signs.brackets == "let_ring",
        half=bool(match["half"]),
    )
    return stroke, consumed, digits


def _bend_size(match: re.Match[str] | None, fret: int | None) -> int:
    """Semitones of a bend: what the typist wrote, else a whole step (common practice)."""
    if match is None:
        return 2
    if match["half"]:
        return 1
    return int(match["target"]) - fret if match["target"] and fret is not None else 2


def _is_bent_to(target: str, fret: int | None) -> bool:
    """True if a number after a bend sign can be the pitch it rises to, given as a fret."""
    return fret is not None and 1 <= int(target) - fret <= _LARGEST_BEND


def _amend(reading: RowReading, mark: str, value: object = True) -> None:
    """Add a mark to the last note of the cell, if it has one."""
    if reading.strokes:
        digits, stroke = reading.strokes[-1]
        changes: dict[str, Any] = {mark: 2 if mark == "bend" and value is True else value}
        reading.strokes[-1] = (digits, replace(stroke, **changes))


def _edge(link: Link, sign: str) -> SlideEdge | None:
    """A slide sign before the first note of a string: a slide from nowhere."""
    if link is not Link.SLIDE:
        return None
    return SlideEdge.DOWN if sign == "\\" else SlideEdge.UP


def _slides_away(reading: RowReading, sign: str, place: Place, problems: ProblemList) -> None:
    """A slide sign with a long row of dashes after it leads nowhere, not to the next note."""
    _amend(reading, "slide_to", SlideEdge.UP if sign == "/" else SlideEdge.DOWN)
    problems.add(
        kinds.FAR_SLIDE,
        "the note here is too far from the slide sign before it, which is read as a slide to "
        "nowhere; type the sign beside this note if it slides here",
        place,
    )


def _close(reading: RowReading, text: str, sign_at: int | None) -> None:
    """A sign without a note after it in the cell: a slide to nowhere, or carried over the bar.

    Only a sign in the last two characters is carried; an earlier one has no target.
    """
    if reading.pending is None or sign_at is None:
        return
    if sign_at >= len(text) - 2:
        return
    if reading.pending is Link.SLIDE:
        _amend(reading, "slide_to", SlideEdge.UP if text[sign_at] == "/" else SlideEdge.DOWN)
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
        position, string, _ = item
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
        brush = any(s.brushed for s in strokes)
        columns.append(
            Column(
                position=position,
                strokes=strokes,
                width=max(s.width for s in strokes),
                sign_width=signs,
                brush=brush,
            )
        )
    return tuple(columns)


def _digits(stroke: Stroke) -> int:
    return len(str(stroke.fret)) if stroke.fret is not None else 1
