"""Frets and signs: the cell of a row, its share of a measure, becomes strokes.

A fret is one token with what clings to it: ``(2)``, ``<12>``, ``7b``, ``5~``. A sign between
two frets says how the second is reached: ``2h3``. What a sign is, is in the table of techniques
(:mod:`rollstave.vocabulary.techniques`); ``RULES`` has each kind of thing in a cell, in the order
in which they are tried.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from msgspec.structs import replace

from rollstave.grid.typed import GraceStroke, Link, Stroke
from rollstave.patterns import rare
from rollstave.reading.cells.graces import grace_at
from rollstave.reading.cells.state import CellState, Manner, RowReading
from rollstave.reading.ledger import Use
from rollstave.reading.rows.cutting import Cell
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.signs import BY_NAME, setting
from rollstave.vocabulary.technique import Technique

_NOTE = rare(
    r"(?P<open>[(<]?)(?P<fret>0|[1-9]\d{0,2}|[xX])(?P<half>\+?)(?P<close>[)>]?)(?P<star>\*?)"
)
_PLAIN = re.compile(_NOTE.pattern.replace(r"(?P<half>\+?)", "(?P<half>)"))
_BEND = rare(r"\(?(?P<target>\d{1,2})\)?|(?P<full>full)|(?P<half>1/2|½)")
# Brackets around notes that are joined anyhow: (2h4), (4p2p0)
_SLUR = rare(r"\(\d{1,2}(?:[hpsHPS/\\]\d{1,2}){1,4}(?P<close>\))")
_FIGURES = "0123456789"
_LARGEST_BEND = 4  # semitones
_EMPTY = re.compile(r"[-. ]+")
_ALL_EMPTY = re.compile(r"[-. ]*")
_WORDS = rare(r"[^\s\-|.\d(<]+")


class CellReader(Manner, frozen=True):
    """Reads the cells of a tune's rows."""

    def read(
        self,
        cell: Cell,
        string: int,
        carried: Link | None = None,
        earlier: int | None = None,
    ) -> RowReading:
        """Read one cell. ``carried`` is a sign typed before the bar, ``earlier`` how many
        characters have stood since the last note of the string before this cell."""
        if self.ledger is not None:
            self.ledger.claim(cell.row.line, cell.start, cell.end, Use.MUSIC)
        if _ALL_EMPTY.fullmatch(cell.text):
            return RowReading(pending=carried)
        state = CellState(
            manner=self,
            cell=cell,
            text=cell.text,
            string=string,
            earlier=earlier,
            reading=RowReading(pending=carried),
        )
        text, end = cell.text, len(cell.text)
        while True:
            if dashes := _EMPTY.match(text, state.index):
                state.index = dashes.end()
                if state.reading.graces.found:
                    state.reading.graces.pass_dash()
            if state.index >= end:
                break
            if text[state.index] in _FIGURES and _fret(state):
                continue  # as the rules would have it, but most signs are frets
            for rule in RULES:
                if rule(state):
                    break
        state.close()
        state.reading.rest = end - state.touching
        return state.reading


# Rules: each takes what stands at the index and moves it on, or leaves it to the next ---------


def _grace(state: CellState) -> bool:
    """A grace note: ``{2}``."""
    manner = state.manner
    if state.char not in "{(":
        return False
    match = grace_at(state.text, state.index, manner.signs, manner.half_frets)
    if match is None:
        return False
    at = match.start("fret")
    small = GraceStroke(
        string=state.string,
        fret=int(match["fret"]),
        place=state.place(at),
        position=at,
        half=bool(match["half"]),
    )
    state.reading.graces.add(small, len(match[0]))
    state.index = state.touching = match.end()
    return True


def _slur(state: CellState) -> bool:
    """Brackets around joined notes say nothing more: ``(2h4)``."""
    if state.index in state.slur_ends:
        state.index += 1
        return True
    if state.char == "(" and (slur := _SLUR.match(state.text, state.index)):
        state.slur_ends.add(slur.start("close"))
        state.index += 1
        return True
    return False


def _fret(state: CellState) -> bool:
    """A fret with its brackets."""
    manner = state.manner
    if state.char == "<" and "<" in manner.signs.meanings:
        return False  # the legend says what it is
    pattern = _NOTE if manner.half_frets else _PLAIN
    match = pattern.match(state.text, state.index)
    if match is None:
        return False
    if manner.digits and len(match["fret"]) > 1:
        digits = state.place(match.start("fret"))
        if manner.digits.splits(digits):
            match = pattern.match(state.text, state.index, match.start("fret") + 1) or match
    stroke, consumed = _stroke(match, state)
    state.add(stroke, match.start("fret"))
    state.index += consumed
    state.touching = state.index
    return True


def _rest(state: CellState) -> bool:
    """``r`` between dashes, no bent note before it, or as the legend says: the letter of a rest."""
    meant = state.manner.signs.meanings.get(state.char)
    if meant is not None and meant.what == "rest":
        state.reading.rests.append(state.index)
        state.index += 1
        return True
    if state.char not in BY_NAME["rest"].signs or state.index == state.touching:
        return False
    strokes = state.reading.strokes
    bent = bool(strokes) and strokes[-1][1].bend is not None
    if bent or state.text[state.index + 1 : state.index + 2] not in ("-", "", " "):
        return False
    state.reading.rests.append(state.index)
    state.index += 1
    return True


def _letter(state: CellState) -> bool:
    """A sign in place of a fret, where the legend has one: ``o`` for an open string."""
    meant = state.manner.signs.meanings.get(state.char)
    if meant is None or meant.what != "fret":
        return False
    fret = meant.value if isinstance(meant.value, int) else None
    state.add(Stroke(string=state.string, fret=fret, place=state.place(state.index)), state.index)
    state.index += 1
    state.touching = state.index
    return True


def _sign(state: CellState) -> bool:
    """A sign of the table."""
    sign, width = state.sign()
    row = state.manner.signs.meanings.get(sign)
    if row is None:
        return False
    if row.what == "link" and isinstance(row.value, Link):
        if not state.reading.graces.take_link(row.value, width):
            state.lead(row.value, width)
    elif row.what == "mark" and row.instead and _stands_alone(state, width):
        place = state.place(state.index)
        state.add(Stroke(string=state.string, fret=None, place=place, width=width), state.index)
        state.amend(row)
        state.touching = state.index + width
    elif row.what == "mark":
        width = _mark(state, row, width)
    state.index += width
    return True


def _stands_alone(state: CellState, width: int) -> bool:
    """True for a sign that touches no fret: it stands in place of one."""
    after = state.index + width
    return state.index != state.touching and not state.text[after : after + 1].isdigit()


def _mark(state: CellState, row: Technique, width: int) -> int:
    """A mark of a note; the width of all that belongs to it."""
    if row.field == "brushed" and _releases(state, width):
        # 7br7: bent and released, as b and r say it apart
        state.amend(BY_NAME["bend"])
        state.lead(Link.TIE, width)
        return width
    if row.field == "bend" and state.reading.strokes:
        fret = state.reading.strokes[-1][1].fret
        match = _BEND.match(state.text, state.index + width)
        if match and match["target"] and not _is_bent_to(match["target"], fret):
            match = None  # a note of its own
        state.amend(row, _bend_size(match, fret) if match else row.value)
        width += match.end() - match.start() if match else 0
    elif state.index == state.touching or (not row.early and state.reading.strokes):
        state.amend(row)
    else:
        state.waiting.append((row, state.index, width))
        return width
    state.touching = state.index + width
    return width


def _unread(state: CellState) -> bool:
    """What is nothing of all that is reported."""
    word = _WORDS.match(state.text, state.index)
    width = len(word[0]) if word else 1
    state.unread(state.index, width, "is not understood here")
    state.index += width
    return True


Rule = Callable[[CellState], bool]

RULES: tuple[Rule, ...] = (_grace, _slur, _fret, _rest, _letter, _sign, _unread)


def _releases(state: CellState, width: int) -> bool:
    """True if ``br`` stands between two frets that it touches, where nothing is brushed."""
    end = state.index + width
    between = state.index == state.touching and state.text[end : end + 1].isdigit()
    return between and state.text[state.index : end].lower() == "br"


def _stroke(match: re.Match[str], state: CellState) -> tuple[Stroke, int]:
    """The stroke of a match, and how many characters it takes."""
    signs = state.manner.signs
    muted = match["fret"] in "xX"
    consumed = match.end() - match.start()
    star = bool(match["star"]) and "*" not in signs.meanings  # else the legend says what it is
    if match["star"] and not star:
        consumed = match.start("star") - match.start()
    if bool(match["open"]) != bool(match["close"]):
        if match["close"] and not match["open"]:
            consumed = match.end("half") - match.start()
        else:
            state.manner.problems.add(
                kinds.BRACKET,
                f"the bracket {match['open']!r} is not closed after fret {match['fret']}",
                state.place(match.start()),
            )
    stroke = Stroke(
        string=state.string,
        fret=None if muted else int(match["fret"]),
        place=state.place(match.start("fret")),
        width=consumed,
        muted=muted,
        harmonic=match["open"] == "<" or star,
        half=bool(match["half"]),
    )
    if match["open"] == "(":
        changes: dict[str, Any] = setting(signs.brackets, stroke) if signs.brackets.field else {}
        stroke = replace(stroke, **changes)
    return stroke, consumed


def _bend_size(match: re.Match[str], fret: int | None) -> int:
    """Semitones of a bend: what the typist wrote, else a whole step (common practice)."""
    if match["half"]:
        return 1
    return int(match["target"]) - fret if match["target"] and fret is not None else 2


def _is_bent_to(target: str, fret: int | None) -> bool:
    """True if a number after a bend sign can be the pitch it rises to, given as a fret."""
    return fret is not None and 1 <= int(target) - fret <= _LARGEST_BEND
