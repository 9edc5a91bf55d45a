"""Lines under a system and among its rows: which of them belong to it, and as what.

``UNDER`` and ``AMONG`` are the tables of rules, tried in order. What a line holds is told by the
tables of ``attach``.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from enum import Enum

from msgspec import Struct, field

from rollstave.grid.typed import LineKind
from rollstave.patterns import rare
from rollstave.problems import Place
from rollstave.reading.beside import attach, line_words, pointing, sung
from rollstave.reading.beside.chord_lines import are_chords
from rollstave.reading.beside.mixed import words_of
from rollstave.reading.labelling.judge import ruled_out, sure_of
from rollstave.reading.ledger import Use
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState
from rollstave.reading.words import titles
from rollstave.reading.words.directions import is_order_of_parts, read_direction
from rollstave.reading.words.headings import read_headings
from rollstave.reading.words.section_names import read_section
from rollstave.reading.words.taking import note, note_line
from rollstave.vocabulary import problems as kinds

# Words about the playing, which no song has.
# A row that was damaged, or is filled with blanks, is nothing to sing.
_ROW_INSIDE = rare(r"\|-|-\||^\s*(?:[A-Ga-g]\s*)?\|[\s\do|]*$")
_SPEAKS = rare(
    r"\b(?:forward|backward|reverse|alternat\w+|square|roll) (?:roll|thumb)|\brolls\b"
    r"|\b(?:hammer|pull)[ -]?o(?:n|ff)\b|\bpinch(?:es)?\b|\bchoke\b",
    re.IGNORECASE,
)
_TWO_WORDS = rare(r"\w\s+\w")
_MOST_LYRICS = 4  # lines under one system
_SHORT_LYRIC = 3  # words that need no wide gaps


class Verdict(Enum):
    """What a rule says of a line under a system."""

    TAKE = "it belongs to the system"
    TAKE_LAST = "it does, and no line after it"
    STOP = "it does not, nor does any line after it"


class Under(Struct):
    """The lines taken under a system so far, and the next one."""

    index: int
    line: Line
    taken: list[Line] = field(default_factory=list)


UnderRule = Callable[[ReadingState, Under], Verdict | None]


def lines_under(state: ReadingState, index: int) -> list[Line]:
    """The lines from ``index`` on that belong under the system just above them."""
    found: list[Line] = []
    while index < len(state.lines) and not state.lines[index].blank:
        under = Under(index, state.lines[index], found)
        verdict = _verdict(state, under)
        if verdict is Verdict.STOP:
            break
        found.append(under.line)
        if verdict is Verdict.TAKE_LAST:
            break
        index += 1
    return found


# What the chain of lines calls a line that a rule takes; rules without a row here are not judged.
MEANT: dict[str, tuple[str, ...]] = {
    "letters, counts and the like": (
        *("chord row", "counts", "letters", "ending", "repeat", "jump", "words to sing", "row"),
    ),
    "chords under a system": ("chord row", "chart"),
    "lyrics": ("words to sing", "letters", "counts"),
}


def _verdict(state: ReadingState, under: Under) -> Verdict:
    """What the first rule says that speaks and that the chain of lines does not rule out."""
    for name, rule in UNDER:
        found = rule(state, under)
        # Asking costs more than the rule, which changes nothing by itself where it is judged.
        if found is not None and not ruled_out(state, under.index, MEANT.get(name, ())):
            return found
    return Verdict.STOP


def next_rows(state: ReadingState, under: Under) -> Verdict | None:
    """Stop at the next system."""
    return Verdict.STOP if under.index in state.in_block else None


def section_or_heading(state: ReadingState, under: Under) -> Verdict | None:
    """Stop at the name of a section and at headings; but ``E.  S E  E`` are letters."""
    if not under.taken and len(attach.classify_as(under.line, LineKind.DURATIONS)) > 2:
        return None
    if are_chords(under.line.text) or attach.says_fingers(under.line):
        return None
    return Verdict.STOP if read_section(under.line) or read_headings(under.line) else None


def remark_behind(state: ReadingState, under: Under) -> Verdict | None:
    """Take letters or counts, and keep the remark in brackets behind them as text."""
    line = under.line
    at = pointing.remark_behind(line)
    if at is None:
        return None
    shorter = line.with_text(line.text[:at])
    if words_of(shorter, attach.BELOW) is None:
        return None
    note(state, line, at, line.text[at:].rstrip())
    under.line = shorter
    return Verdict.TAKE


def remark_that_points(state: ReadingState, under: Under) -> Verdict | None:
    """Take a remark whose arrow points up at a measure, and the line on which it goes on."""
    line = under.line
    if pointing.points(line) or pointing.goes_on(under.taken, line):
        return Verdict.TAKE
    return None


def known_kind(state: ReadingState, under: Under) -> Verdict | None:
    """Take letters, counts and whatever else stands under notes."""
    return Verdict.TAKE if words_of(under.line, attach.BELOW) is not None else None


def chords_under(state: ReadingState, under: Under) -> Verdict | None:
    """Take several chord names under a system that has none over it, and a gap after them; one
    alone where other systems have theirs under them."""
    if any(kind is LineKind.CHORDS for kind, _, _ in state.over):
        return None
    found = attach.classify(under.line, attach.CHORDS)
    if found is not None and sure_of(state, under.index) == "chord row":
        return Verdict.TAKE
    if found is not None and len(found[1]) == 1 and _has_chords_under(state):
        return Verdict.TAKE_LAST
    if are_chords(under.line.text) and not _rows_near(state, under.index):
        return Verdict.TAKE
    after = state.lines[under.index + 1] if under.index + 1 < len(state.lines) else None
    text = under.line.text.strip()
    if (after is not None and not after.blank) or "  " not in text or is_order_of_parts(text):
        return None
    return Verdict.TAKE_LAST if found is not None and len(found[1]) > 1 else None


_NEAR = 3  # lines to the rows that chords may stand over


def _rows_near(state: ReadingState, index: int) -> bool:
    """True if rows follow with nothing between that names a part."""
    for later in range(index + 1, min(index + 1 + _NEAR, len(state.lines))):
        if later in state.in_block:
            return True
        line = state.lines[later]
        if not line.blank and (read_section(line) or words_of(line, attach.ABOVE) is None):
            return False
    return False


def _has_chords_under(state: ReadingState) -> bool:
    """True if the tune's chord names so far stand under their systems."""
    return any(
        chord.place.line > measure.last_line
        for measure in state.tune.measures
        for chord in measure.attached(LineKind.CHORDS)
    )


def over_next_system(state: ReadingState, under: Under) -> Verdict | None:
    """Stop at what can only stand over the next system."""
    return Verdict.STOP if words_of(under.line, attach.ABOVE) else None


def lyrics(state: ReadingState, under: Under) -> Verdict | None:
    """Take lyrics, which are spread out under the notes: indented, with wide gaps or hyphens."""
    text = under.line.text
    if not any(c.isalpha() for c in text) or read_direction(text, 0, False, Place(1, 1)):
        return None
    if _SPEAKS.search(text) or _ROW_INSIDE.search(text):
        return None
    if not under.taken and _in_brackets(text.strip()):
        return None  # a remark
    if any(own.line == text.strip() for own in state.signs.own):
        return None  # what a sign means, which is kept as text wherever it stands
    spread = "  " in text.strip() or " - " in text or "- " in text
    # Under words that are spread out over the measures, a few together are a remark.
    if not spread and any(sung.is_spread(line) for line in under.taken):
        return None
    short = spread or len(line_words.words(text)) <= _SHORT_LYRIC
    few = text[:1] == " " and short and len(under.taken) < _MOST_LYRICS
    return Verdict.TAKE if few else None


def _in_brackets(text: str) -> bool:
    inside = text[1:-1]
    closed = text[0] == "(" and text[-1] == ")" and "(" not in inside and ")" not in inside
    return closed and _TWO_WORDS.search(inside) is not None


UNDER: tuple[tuple[str, UnderRule], ...] = (
    ("rows of the next system", next_rows),
    ("section or heading", section_or_heading),
    ("letters with a remark behind", remark_behind),
    ("remark that points", remark_that_points),
    ("letters, counts and the like", known_kind),
    ("chords under a system", chords_under),
    ("words over the next system", over_next_system),
    ("lyrics", lyrics),
)


# A rule for lines among the rows says whether it has taken the line.
AmongRule = Callable[[ReadingState, Line], bool]


def read_among(state: ReadingState, line: Line) -> None:
    """Read a line among the rows of a system that is none of them."""
    for _, rule in AMONG:
        if rule(state, line):
            return


def empty(state: ReadingState, line: Line) -> bool:
    """Pass over an empty line."""
    return line.blank


def ruler(state: ReadingState, line: Line) -> bool:
    """Take a line of nothing but dashes, stars and the like."""
    if not titles.is_ruler(line):
        return False
    state.ledger.claim_line(line, Use.FRAME)
    return True


def count_with_dashes(state: ReadingState, line: Line) -> bool:
    """Take words that belong to the notes, as a count typed with dashes."""
    found = words_of(line, (*attach.ABOVE, *attach.BELOW))
    if not found:
        return False
    state.ledger.claim_line(line, Use.WORD)
    state.over.extend((kind, word, line) for kind, word in found)
    return True


def remark(state: ReadingState, line: Line) -> bool:
    """Keep words as text, with an arrow or a dash among them, too."""
    letters = sum(map(str.isalpha, line.text))
    if "--" in line.text and ("|" in line.text or 2 * letters <= len(line.text.strip())):
        return False
    note_line(state, line)
    return True


def extra_row(state: ReadingState, line: Line) -> bool:
    """Report a row without the bars of the others."""
    state.ledger.claim_line(line, Use.WORD)
    state.problems.add(
        kinds.EXTRA_ROW,
        "this line has no bars where the rows around it have some; it is left out",
        line.place(0),
    )
    return True


AMONG: tuple[tuple[str, AmongRule], ...] = (
    ("empty line", empty),
    ("ruler", ruler),
    ("count with dashes", count_with_dashes),
    ("remark", remark),
    ("extra row", extra_row),
)
