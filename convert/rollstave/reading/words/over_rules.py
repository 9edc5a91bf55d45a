"""Rules for lines of words over a system: rulers, chords and counts, sections with chords."""

from __future__ import annotations

from itertools import pairwise

from rollstave.grid.typed import LineKind
from rollstave.patterns import rare
from rollstave.reading.beside import attach, sung
from rollstave.reading.beside.chord_lines import lone_chord, names_in
from rollstave.reading.beside.mixed import Words, words_of
from rollstave.reading.beside.stems import stems_of
from rollstave.reading.labelling.judge import sure_of
from rollstave.reading.ledger import Use
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState
from rollstave.reading.words import titles
from rollstave.reading.words.changes import times_over_measures
from rollstave.reading.words.charts import chart_of
from rollstave.reading.words.directions import is_sign
from rollstave.reading.words.section_names import read_section
from rollstave.reading.words.slur_rules import may_be_slurs
from rollstave.reading.words.taking import begin_section, note_line

# Words at the left end, before a gap.
_FRONT = rare(r"\s*[\[(]?\w[^|]{0,24}?(?=\s{2})")
_WIDE = "     "  # between the names of chords that stand over their measures
_MOST_LINES_OVER = 4
_FEWEST_CELLS = 3  # of one without bars
_FEWEST_BARS = 2  # of a chart


def ruler(state: ReadingState, index: int) -> bool:
    """Take a line of dashes or stars that divides, unless it draws stems over a system."""
    line = state.lines[index]
    if not titles.is_ruler(line) or is_sign(line.text):
        return False
    if leads_to_rows(state, index) and (stems_of(line.text) is not None or _marks(line)):
        return False
    state.ledger.claim_line(line, Use.FRAME)
    return True


def numbers_of_measures(state: ReadingState, index: int) -> bool:
    """Pass over a line that numbers the measures of the system below it: ``Measure 7:``."""
    line = state.lines[index]
    if line.number not in state.numbering or words_of(line, attach.ABOVE) is not None:
        return False
    state.ledger.claim_line(line, Use.FRAME)
    return True


_DIVIDING = frozenset(" \t-–—_=~.*·•|:+/\\,;'\"`#")


def _marks(line: Line) -> bool:
    """True for signs by themselves, as over notes: not all of those that lines are drawn with, and
    none of them twice together."""
    text = line.text.strip()
    if attach.classify_as(line, LineKind.JUMPS):
        return True
    twice = any(a == b != " " for a, b in pairwise(text))
    return not twice and not _DIVIDING.issuperset(text)


def may_stand_over(state: ReadingState, index: int) -> bool:
    """True for a line that rows follow."""
    return leads_to_rows(state, index) or _stands_over_a_gap(state, index)


def words_over_system(state: ReadingState, index: int) -> bool:
    """Take chords, counts, endings and whatever else stands over the notes of a system."""
    line = state.lines[index]
    if not may_stand_over(state, index):
        return False
    if times_over_measures(state, line):
        state.ledger.claim_line(line, Use.HEADING)
        return True
    if index + 1 in state.block_at and (chord := lone_chord(state, line)) is not None:
        state.ledger.claim_line(line, Use.WORD)
        state.over.append((LineKind.CHORDS, chord, line))
        return True
    if not (words := words_of(line, attach.ABOVE)):
        return False
    # A lone letter is a section's name unless it stands over a system's own bars.
    alone = len(line.text.split()) == 1 or all(kind is LineKind.JUMPS for kind, _ in words)
    if alone and read_section(line) and words[0][1].start < 2:
        return False
    if (section := _before_endings(state, index, words)) is not None:
        begin_section(state, line, *section)
        words = words[1:]
    if words[0][0] is not LineKind.STEMS:  # it may be no more than bars: the system tells
        state.ledger.claim_line(line, Use.WORD)
    state.over.extend((kind, word, line) for kind, word in words)
    return True


def _before_endings(state: ReadingState, index: int, words: Words) -> tuple[str, str] | None:
    """The part that a letter at the left end names, where it stands over no measure and nothing
    but the numbers of endings follows it: ``B            1.      2.``"""
    (kind, first), *others = words
    block = state.block_at.get(index + 1)
    if kind is not LineKind.CHORDS or not others or block is None or not block.systems:
        return None
    endings = all(other is LineKind.ENDINGS for other, _ in others)
    if not endings or first.start >= block.systems[0].rows[0].start:
        return None
    return read_section(state.lines[index].with_text(first.text))


def chart(state: ReadingState, index: int) -> bool:
    """Keep a chord chart (``| G | Em | D7 |``) as words, whatever else its names could be; which
    measures it speaks of is seen when the tune is complete."""
    line = state.lines[index]
    cells = chart_of(line.text)
    if cells is None or (line.text.count("|") < _FEWEST_BARS and len(cells) < _FEWEST_CELLS):
        return False
    note_line(state, line)
    return True


def parts_side_by_side(state: ReadingState, index: int) -> bool:
    """Take the names of several parts, far apart on one line, over systems side by side: each
    heads the measures under it."""
    line = state.lines[index]
    if index + 1 not in state.block_at or _WIDE not in line.text.strip():
        return False
    found = [(m[0], m.start()) for m in _FAR_APART.finditer(line.text)]
    names = [(read_section(line.with_text(words)), at) for words, at in found]
    if len(names) < _FEWEST_BARS or not all(name is not None and not name[1] for name, _ in names):
        return False
    if attach.classify(line, attach.CHORDS) is not None:
        return False
    state.ledger.claim_line(line, Use.SECTION)
    (first, _), *others = names
    assert first is not None
    begin_section(state, line, *first)
    state.parts_over = [(name[0], at) for name, at in others if name is not None]
    state.tune.section_names += [name for name, _ in state.parts_over]
    return True


_FAR_APART = rare(r"\S+(?:\s{1,3}\S+)*")


def section_and_chords(state: ReadingState, index: int) -> bool:
    """Take ``Verse 1   (C)     (G7)`` over a system: the section that begins, and its chords, or
    the numbers of its endings."""
    line = state.lines[index]
    if not leads_to_rows(state, index):
        return False
    front = _FRONT.match(line.text)
    if front is None or not (section := read_section(line.with_text(front[0]))):
        return False
    behind = line.with_text(" " * front.end() + line.text[front.end() :])
    found = attach.classify(behind, attach.ABOVE)
    if found is None or found[0] not in (LineKind.CHORDS, LineKind.ENDINGS):
        return False
    state.ledger.claim_line(line, Use.WORD)
    begin_section(state, line, *section)
    state.over.extend((found[0], word, line) for word in found[1])
    return True


def _stands_over_a_gap(state: ReadingState, index: int) -> bool:
    """True for a line of chords or counts that an empty line parts from its rows, where the chain
    of lines is sure of it."""
    if rows_after(state, index) is None:
        return False
    if sure_of(state, index) in ("chord row", "counts", "letters"):
        return True
    line = state.lines[index]
    found = attach.classify(line, attach.CHORDS) if _WIDE in line.text.strip() else None
    return found is not None and len(found[1]) > 2


def rows_after(state: ReadingState, index: int) -> int | None:
    """The index of the rows that come next, with nothing but empty lines before them."""
    later = index + 1
    while later < len(state.lines) and state.lines[later].blank:
        later += 1
    return later if later in state.block_at else None


def leads_to_rows(state: ReadingState, index: int) -> bool:
    """True if only lines that may stand over a system lie between here and the next rows."""
    lines = state.lines
    for later in range(index + 1, min(index + 1 + _MOST_LINES_OVER, len(lines))):
        if later in state.in_block:
            return True
        line = lines[later]
        if line.blank:
            return False
        if (
            words_of(line, attach.ABOVE) is None
            and not titles.is_ruler(line)
            and not names_in(line.text)
            and not may_be_slurs(line)
        ):
            # Words to sing may stand between the chords and the rows.
            spread = later + 1 in state.in_block and sung.is_spread(line)
            here = attach.classify(lines[index], attach.CHORDS) if spread else None
            return here is not None and len(here[1]) > 1
    return False
