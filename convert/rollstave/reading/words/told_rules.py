"""Rules for lines over a system that tell in their own way what begins there: an ending, a part."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.grid.typed import GridMeasure, LineKind
from rollstave.reading.beside.line_words import Word
from rollstave.reading.ledger import Use
from rollstave.reading.saying.judge import probability, told
from rollstave.reading.saying.parse import Found
from rollstave.reading.saying.times import times_said
from rollstave.reading.state import ReadingState
from rollstave.reading.words.over_rules import leads_to_rows, rows_after
from rollstave.reading.words.parts_played import goes_on
from rollstave.reading.words.section_names import undressed_name
from rollstave.reading.words.taking import begin_section, note_line, under_exercise

_LONGEST = 160  # columns of a line that heads rows


def ending_told(state: ReadingState, index: int) -> bool:
    """Take ``beim letzten Mal:`` for the ending that begins with the next rows. Words are kept."""
    line, tune = state.lines[index], state.tune
    if not tune.measures or len(line.text) > _LONGEST or (rows := rows_after(state, index)) is None:
        return False
    name, _, often = line.text.strip().rstrip(")").partition(" (")
    found = None if name and times_said(often) else _likeliest(state, index, "ending")
    if found is None:
        return False  # a part, "Deuxième partie (une fois)"
    number = _number(str(found.value), [m.ending for m in tune.measures if m.ending])
    if not number or (number != "1" and not _first(tune.measures) and goes_on(line.text)):
        return False
    tune.said_endings.append(len(tune.measures))
    block = state.block_at[rows]
    start = block.systems[0].rows[0].start if block.systems else 0
    state.over.append((LineKind.ENDINGS, Word(number, start + 1), line))
    note_line(state, line)
    return True


def _first(measures: Sequence[GridMeasure]) -> bool:
    """True if an ending stands above."""
    return any(m.ending for m in measures)


def _number(said: str, before: list[str]) -> str:
    """The number of an ending, of the last one that of the pass after those before it."""
    if said == "1" or (said != "last" and before):
        return said
    last = max((int(c) for ending in before for c in ending if c.isdigit()), default=0)
    return str(last + 1) if last and said == "last" else ""


def section_told(state: ReadingState, index: int) -> bool:
    """Take ``Teil B (hoch)`` or ``Here follows the second strain.`` for the part that begins with
    the next rows. A sentence is kept."""
    line, tune = state.lines[index], state.tune
    if under_exercise(state) or len(line.text) > _LONGEST:
        return False
    if rows_after(state, index) is None and not leads_to_rows(state, index):
        return False
    if not (tune.measures or tune.title):
        return False
    found = _likeliest(state, index, "section")
    if found is None:
        return False
    text = line.text.strip()
    if found.way == "part alone":
        state.ledger.claim_line(line, Use.SECTION)
        begin_section(state, line, (undressed_name(text) or text).strip("[]<>*=:. "), "")
        return True
    begin_section(state, line, str(found.value), "")
    state.section_line = None  # it is kept as words already
    note_line(state, line)
    return True


def _likeliest(state: ReadingState, index: int, fact: str) -> Found | None:
    found = list(told(state.lines[index].text, fact))
    return max(found, key=probability, default=None)
