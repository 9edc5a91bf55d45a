"""Rules for lines of words that order the music: sections, directions, orders of parts."""

from __future__ import annotations

import re

from rollstave.patterns import rare
from rollstave.reading.labelling.judge import seems, sure_of
from rollstave.reading.ledger import Use
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState
from rollstave.reading.words.changes import as_before
from rollstave.reading.words.directions import (
    Direction,
    asks_for_repeat,
    copy_section,
    is_order_of_parts,
    read_direction,
    section_again,
)
from rollstave.reading.words.over_rules import leads_to_rows, rows_after
from rollstave.reading.words.section_names import (
    introduced,
    leads_on_to,
    read_section,
    undressed_name,
)
from rollstave.reading.words.several_parts import MOST_WORDS, is_short
from rollstave.reading.words.taking import (
    begin_section,
    note,
    note_line,
    take_direction,
    under_exercise,
)
from rollstave.reading.words.titles import closes
from rollstave.vocabulary import problems as kinds

# A tune may grow to so many times its typed measures by sections played again.
_MOST_GROWTH = 8
_LINES_TO_ROWS = 9  # rows follow within so many lines of a section's name
_DRESS = "<>[](){}*#=-~:.;_\"'• "  # around the name of a part
_A_REMARK = 0.6  # that words alone between two systems are no name
_A_PART = 0.5  # how likely a plain name over the first rows is that of a part


def order_of_parts(state: ReadingState, index: int) -> bool:
    """Keep ``AABB`` as words; what it asks for is seen when the tune is complete."""
    line = state.lines[index]
    if not is_order_of_parts(line.text):
        return False
    note_line(state, line)
    return True


def _heads_rows(state: ReadingState, index: int) -> bool:
    """True for words right over the chords of rows, with an empty line above."""
    above = index == 0 or state.lines[index - 1].blank
    return above and leads_to_rows(state, index)


def section_played_again(state: ReadingState, index: int) -> bool:
    """Take ``A part again``: the measures of that section are added once more."""
    line, tune = state.lines[index], state.tune
    name = section_again(line.text, tune.section_names)
    if name is None or not any(m.section == name for m in tune.measures):
        return False
    if index + 1 in state.block_at or _heads_rows(state, index):  # it is written out
        state.ledger.claim_line(line, Use.SECTION)
        begin_section(state, line, _bare(line.text.strip()), "")
        return True
    last = next(m.section for m in reversed(tune.measures) if m.section is not None)
    if name == last or asks_for_repeat(line.text, name, last):
        state.ledger.claim_line(line, Use.DIRECTION)
        tune.directions.append(
            Direction(
                kind="times",
                value="2",
                after=len(tune.measures),
                beside=True,
                place=line.place(0),
            )
        )
        return True
    copies = as_before(
        tune.headings, tune.measures, copy_section(tune.measures, name, tune.systems)
    )
    if len(tune.measures) + len(copies) > _MOST_GROWTH * tune.typed:
        return False
    state.ledger.claim_line(line, Use.DIRECTION)
    tune.measures.extend(copies)
    tune.systems += 1
    state.problems.add(
        kinds.AGAIN,
        f"{line.text.strip()!r}: the {len(copies)} measures of {name} are added again",
        line.place(0),
    )
    return True


def direction(state: ReadingState, index: int) -> bool:
    """Take words that say how often a part is played, or where the player goes back to."""
    line = state.lines[index]
    return take_direction(state, line, 0, line.text)


def section(state: ReadingState, index: int) -> bool:
    """Take the name of a section."""
    line = state.lines[index]
    if not under_exercise(state) and _with_words_behind(state, line):
        return True
    found = not under_exercise(state) and (
        _with_times(read_section(line))
        or _played_so_often(line)
        or _plain_section(state, index)
        or _likely_section(state, index)
    )
    if not found:
        return False
    state.ledger.claim_line(line, Use.SECTION)
    begin_section(state, line, *found)
    return True


_CODA_NAMED = rare(
    r"\s*(?:[𝄌⊕⌖]|\(\+\))\s*[:=-]?\s*(?P<name>(?!coda\b)[A-Za-z][\w' ]{1,24}?)\s*[:.]?\s*$",
    re.IGNORECASE,
    cues=("𝄌", "⊕", "⌖", "(+)"),
)


def coda_with_a_name(state: ReadingState, index: int) -> bool:
    """Take a coda's sign and a name right over rows: ``(+) the end:``."""
    line, tune = state.lines[index], state.tune
    match = _CODA_NAMED.match(line.text)
    if match is None or not tune.measures or rows_after(state, index) is None:
        return False
    if read_direction(line.text, 0, False, line.place(0)) is not None:
        return False
    state.ledger.claim_line(line, Use.SECTION)
    begin_section(state, line, match["name"], "")
    tune.directions.append(
        Direction(
            kind="coda", value="", after=len(tune.measures), beside=False, place=line.place(0)
        )
    )
    return True


def name_between_systems(state: ReadingState, index: int) -> bool:
    """Take a name alone between two systems, which the chain of lines may call a title, for that
    of a part, if it is not sure that a further tune begins there."""
    if not state.tune.measures or under_exercise(state) or sure_of(state, index) == "title":
        return False
    found = _plain_section(state, index)
    if found is None:
        return False
    state.ledger.claim_line(state.lines[index], Use.SECTION)
    begin_section(state, state.lines[index], *found)
    return True


_AFTER_NAME = rare(
    r"[\s,;:([-]*\b(?:(?:and\s+)?(?:likewise|also|again)\s+)?(?:(?:to\s+be|is|are)\s+)?"
    r"(?P<said>\b(?:repeat(?:ed)?|bis|twice|x\s?\d|\d\s?x|(?:play(?:ed)?\s+(?:it\s+)?)?"
    r"(?:once|twice|(?:two|three|four|\d)\s+times))\b)[\s).\]:]*$",
    re.IGNORECASE,
    cues=("repeat", "bis", "once", "twice", "x", "times"),
)


def _another_so(state: ReadingState, index: int) -> bool:
    """True if right over later rows, below an empty line, a few words stand as on this line."""
    return any(
        start > index + 1
        and not state.lines[start - 1].blank
        and state.lines[start - 2].blank
        and is_short(state.lines[start - 1].text)
        for start in state.block_at
        if start > 1
    )


_LONGEST = 300  # columns of a name and what stands behind it


_BEHIND = rare(r"(?<=\S)\s{3,}(?=[(\[]?[A-Za-z]{2})")


def _with_words_behind(state: ReadingState, line: Line) -> bool:
    """Take a section with how often it is played, and a remark behind a gap: ``B part, 2 times
    (left hand stays here)``."""
    gap = _BEHIND.search(line.text)
    front = line.with_text(line.text[: gap.start()]) if gap else line
    found = _with_times(read_section(front)) if gap else None
    if gap is None or found is None or not found[1]:
        return False
    state.ledger.claim(line, 0, gap.start(), Use.SECTION)
    begin_section(state, line, *found)
    state.section_line = None
    note(state, line, gap.end(), line.text[gap.end() :].rstrip())
    return True


def _played_so_often(line: Line) -> tuple[str, str] | None:
    """A section with how often it is played behind its name: ``** Part A ** (play it twice)``."""
    if len(line.text) > _LONGEST:
        return None
    front, gap, rest = line.text.strip().partition("  ")
    if gap and "  " not in rest.strip():
        found = read_section(line.with_text(front))
        if found and not found[1]:
            return found[0], rest.strip()
    said = _AFTER_NAME.search(line.text)
    if said is None:
        return None
    found = read_section(line.with_text(line.text[: said.start()]))
    return (found[0], said["said"]) if found and not found[1] else None


def _with_times(found: tuple[str, str] | None) -> tuple[str, str] | None:
    """A section whose name ends with how often it is played: ``Part 1 - low, two times``."""
    if found is None or "(" in found[0]:
        return found
    if found[1]:
        said = _AFTER_NAME.match(found[1])
        return (found[0], said["said"]) if said else found
    said = _AFTER_NAME.search(found[0])
    if said is None or not said.start():
        return found
    return found[0][: said.start()], said["said"]


def _likely_section(state: ReadingState, index: int) -> tuple[str, str] | None:
    """A line that the chain of lines is sure heads a part: its name without what dresses it, and
    how often it is played."""
    if sure_of(state, index) != "part" or introduced(state.lines[index].text):
        return None
    text = state.lines[index].text.strip()
    said = _AFTER_NAME.search(text)
    name = text[: said.start()] if said else text
    name = _bare(name, "<>[]{}*#=-~:.,;_ ")
    return (name, said["said"] if said else "") if name else None


def _bare(text: str, dress: str = _DRESS) -> str:
    """Words without the signs around them; a bracket whose other half is inside stays."""
    bare = text.strip(dress)
    for opening, closing in ("()", "[]", "{}"):
        if bare.count(opening) > bare.count(closing):
            bare += closing
    return bare


def section_in_a_sentence(state: ReadingState, index: int) -> bool:
    """Take ``And then the high part:`` right before rows for the name of a section, too; the
    sentence is kept."""
    line = state.lines[index]
    name = introduced(line.text) or leads_on_to(line.text)
    if name is None or rows_after(state, index) is None:
        return False
    begin_section(state, line, name, "")
    state.section_line = None  # it is kept as words already
    note_line(state, line)
    return True


def _plain_section(state: ReadingState, index: int) -> tuple[str, str] | None:
    """A few words alone between two systems, without a full stop, name a section."""
    text = state.lines[index].text.strip()
    if introduced(text) or closes(text):  # a sentence, which is kept
        return None
    inside = undressed_name(text)
    if inside is None and not text.endswith(".") and _bare(text) != text and is_short(text):
        inside = _bare(text) or None
    alone = index > 0 and state.lines[index - 1].blank
    text = inside or text
    named = text[:1].isupper() and len(text.split()) <= MOST_WORDS and text[-1:].isalnum()
    if not (alone and named):
        return None
    if not state.tune.measures:  # between a title and the first rows, only one that is dressed
        # EASY, right over its rows, or a name where another stands so further down.
        close = index + 1 in state.block_at and (text.isupper() or _another_so(state, index))
        if not close and leads_to_rows(state, index):
            close = seems(state, index, ("part",)) > _A_PART
        headed = (inside is not None or close) and state.tune.title is not None
        over = rows_after(state, index) is not None or leads_to_rows(state, index)
        return (text, "") if headed and over else None
    if inside is None and seems(state, index, ("remark", "prose")) > _A_REMARK:
        return None
    near = range(index + 1, index + 1 + _LINES_TO_ROWS)
    return (text, "") if any(later in state.in_block for later in near) else None
