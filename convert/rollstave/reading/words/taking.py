"""What lines of words do to the tune they belong to: notes, sections, directions."""

from __future__ import annotations

import re

from rollstave.grid.typed import FreeText
from rollstave.patterns import rare
from rollstave.reading.ledger import Use
from rollstave.reading.page.decode import Line
from rollstave.reading.saying.times import times_said
from rollstave.reading.state import ReadingState
from rollstave.reading.words.changes import settle
from rollstave.reading.words.directions import BEFORE, Direction, read_direction
from rollstave.reading.words.section_names import read_section
from rollstave.vocabulary import problems as kinds

_BETWEEN = "*-~_=•·|/,; "


def indent(line: Line) -> int:
    """Where the first word of a line begins."""
    return len(line.text) - len(line.text.lstrip())


def note(state: ReadingState, line: Line, start: int, text: str, beside: bool = False) -> None:
    """Keep the words ``text``, which stand at ``line.text[start:]``, ``beside`` a row or not."""
    if 0 < len(text) < 3 and not text.strip(_BETWEEN):  # a sign that stood between other words
        state.ledger.claim(line, start, start + len(text), Use.FRAME)
        return
    text = line.words(start, start + len(text)) if line.continued is None else text
    state.ledger.claim(line, start, start + len(text), Use.TEXT)
    before = len(state.tune.measures)
    state.tune.notes.append(
        FreeText(text=text, place=line.place(start), before_measure=before, beside=beside)
    )


def note_line(state: ReadingState, line: Line) -> None:
    """Keep all words of a line."""
    note(state, line, indent(line), line.text.strip())


def take_direction(
    state: ReadingState, line: Line, start: int, text: str, beside: bool = False
) -> bool:
    """Take a direction; True if the text is one. One on a line of its own under a system goes
    with that system."""
    tune = state.tune
    alone_under = not beside and tune.section is None and bool(tune.measures)
    found = _direction(state, line, start, text, beside or alone_under)
    if found is not None and found.kind == "coda" and not beside and read_section(line):
        return False  # a section of that name
    needs_measures = found is not None and found.kind not in ("times", *BEFORE)
    if found is None or (needs_measures and not tune.measures):
        return False
    state.ledger.claim(line, start, start + len(text), Use.DIRECTION)
    tune.directions.append(found)
    return True


_TOO = rare(r"\s+(?:too|also|as\s+well|likewise)\W*$", re.IGNORECASE)


def begin_section(state: ReadingState, line: Line, name: str, rest: str) -> None:
    """Begin a section. Words after its name may say how often it is played."""
    not_a_section(state)
    tune = state.tune
    state.section_line = line
    bare, _, inside = name.partition(" (")
    inside = _TOO.sub("", inside.rstrip(")"))
    for piece in (inside, *inside.split(", ")[1:]):  # "A part (everybody, x2)"
        found = _direction(state, line, 0, piece, beside=False)
        if found is not None:
            tune.directions.append(found)
        if found is not None or times_said(piece) == 1:
            rest = rest if found is not None and piece == inside else inside
            name = bare
            break
    tune.section = name
    tune.section_names.append(name)
    if rest and not take_direction(state, line, line.text.find(rest), _TOO.sub("", rest)):
        note(state, line, line.text.find(rest), rest)


def take_margin(state: ReadingState, line: Line, end: int) -> None:
    """Take the name of a section to the left of a row's label, up to ``end``."""
    words = line.text[:end]
    if words.strip(" .:)").isdecimal():  # of a measure
        return
    if end and (section := read_section(line.with_text(words))):
        begin_section(state, line, *section)
    elif end:
        note(state, line, len(words) - len(words.lstrip()), words.strip())


def not_a_section(state: ReadingState) -> None:
    """Take a section's name with no measures before the next one for text: it heads words."""
    line, tune = state.section_line, state.tune
    if line is not None and tune.section is not None:
        tune.section_names.remove(tune.section)
        tune.section = None
        note_line(state, line)
        tune.notes.sort(key=lambda note: note.place.line)
    state.section_line = None


def under_exercise(state: ReadingState) -> bool:
    """True for a line between the heading of an exercise and its rows."""
    return state.tune.section is not None and state.tune.section in state.exercises.values()


def leftover(state: ReadingState) -> None:
    """Report words meant for a system that never came; headings under the last one are not."""
    settle(state)
    for kind, word, line in state.over:
        state.ledger.claim_line(line, Use.WORD)
        state.problems.add(
            kinds.STRAY,
            f"{word.text!r} looks like {kind.value} but no system follows it",
            line.place(word.start),
        )
    state.over.clear()


def _direction(
    state: ReadingState, line: Line, start: int, text: str, beside: bool
) -> Direction | None:
    return read_direction(text, len(state.tune.measures), beside, line.place(start))
