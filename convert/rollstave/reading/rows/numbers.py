"""``12``: fret twelve, or one and then two?

With dashes between the notes of a row, two digits are one fret (common practice). Only a typist
who sets notes in neighbouring columns can mean two notes; then the neck and the hand decide.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from rollstave.problems import ProblemList, Severity
from rollstave.reading.rows.records import DigitStyle, Row
from rollstave.reading.saying.judge import told
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds

_RUN = re.compile(r"(?<!\d)\d{3}(?!\d)")
_FRET = re.compile(r"0|[1-9]\d*")
_CLOSE_TYPING = 0.15  # share of notes with a note in the next column that makes a dense typist
_PLAIN_AFTER = "-=._|:~ /\\()"
_REACH = 4  # frets that a hand spans without moving (common practice)
_MOST_NEAR = 60
_FEWEST_NO_FRETS = 2  # runs of figures that are no fret, and make a dense typist
_FEW = 1  # frets of two digits in a measure that show nothing
_WINDOW = 24  # columns to either side that show where the hand is


def neighbouring_columns(state: ReadingState) -> None:
    """Find the numbers that are two notes, in all systems of a file; they, and close calls, are
    reported with the reason."""
    systems = [system.rows for block in state.blocks for system in block.systems]
    words = (line for i, line in enumerate(state.lines) if i not in state.in_block)
    said = any(_RUN.search(row.body) for rows in systems for row in rows) and any(
        fact.fact == "unit" for line in words for fact in told(line.text, "unit")
    )
    state.digits = digit_style_of(systems, state.instrument.frets, state.problems, said)


def digit_style_of(
    systems: Sequence[Sequence[Row]], last_fret: int, problems: ProblemList, said: bool = False
) -> DigitStyle:
    """How the rows of some systems, for a neck with so many frets, type their frets. ``said`` is
    True where words say how long a character lasts: then notes may stand side by side."""
    found = DigitStyle(_is_dense(systems) or _has_no_frets(systems, last_fret))
    for rows in systems:
        found.split.update(_strummed(rows))
    strummed = frozenset(found.split)
    if found.dense:
        usual = _usual_width(systems)
        for rows in systems:
            singles, doubles = _numbers(rows, found, problems)
            columns = [(match.start() - row.start, int(match[0])) for row, match in doubles]
            wider = [m for m in _measures(rows) if m.wide and m.width == usual + len(m.wide)]
            for row, match in doubles:
                if _among_its_like(row, match, singles, columns):
                    continue
                if any(m.start < match.start() - row.start < m.stop for m in wider):
                    continue  # it takes its measure a character more, as one fret does
                _decide(row, match, singles, last_fret, found, problems)
    last = min(last_fret, _highest(systems, found) + _REACH)
    for row in (row for rows in systems for row in rows):
        for match in _RUN.finditer(row.line.text, row.start, row.end):
            place = row.line.place(match.start())
            if (place.line, place.column) not in strummed:
                _split_run(row, match, last, found, problems, said or found.dense)
    return found


_FIGURES = re.compile(r"\d{2,}")
_FEWEST_STRUMMED = 3  # rows of a chord that is struck in columns side by side


class _Span(NamedTuple):
    """A measure between two bar lines, in characters from the beginning of its row, and where two
    figures stand side by side in it."""

    start: int
    stop: int
    wide: frozenset[int]

    @property
    def width(self) -> int:
        return self.stop - self.start


def _measures(rows: Sequence[Row]) -> Iterator[_Span]:
    text = rows[0].line.text[rows[0].start :]
    bars = [index for index, char in enumerate(text) if char == "|"]
    wide = {m.start() - row.start for row in rows for m in _doubles_of(row)}
    for start, stop in pairwise(bars):
        if stop > start + 1:
            yield _Span(start, stop, frozenset(at for at in wide if start < at < stop))


def _doubles_of(row: Row) -> Iterator[re.Match[str]]:
    return _FIGURES.finditer(row.line.text, row.start, row.end)


_MOST_ALIKE, _FEWEST_ALIKE = 0.6, 4


def _usual_width(systems: Sequence[Sequence[Row]]) -> int:
    """The width of most measures that have no two figures side by side, 0 where they differ."""
    widths = Counter(m.width for rows in systems for m in _measures(rows) if not m.wide)
    for width, number in widths.most_common(1):
        if number >= max(_FEWEST_ALIKE, _MOST_ALIKE * widths.total()):
            return width
    return 0


def _strummed(rows: Sequence[Row]) -> set[tuple[int, int]]:
    """Where the figures of chords that are struck several times side by side are notes of their
    own: ``33`` over ``00`` over ``11``. In all rows the same columns have the same figure again and
    again, and one of them is no fret as it stands."""
    runs = [
        [
            (m.start() - row.start, m[0], m)
            for m in _FIGURES.finditer(row.line.text, row.start, row.end)
        ]
        for row in rows
    ]
    played = [found for found, row in zip(runs, rows, strict=True) if row.figures]
    spans = {tuple((at, len(text)) for at, text, _ in found) for found in played}
    texts = [text for found in played for _, text, _ in found]
    if (
        len(played) < _FEWEST_STRUMMED
        or len(spans) != 1
        or not texts
        or any(len(set(text)) > 1 for text in texts)
        or not any(text[0] == "0" for text in texts)
    ):
        return set()
    places = (
        row.line.place(at)
        for row, found in zip(rows, runs, strict=True)
        for _, _, match in found
        for at in range(match.start(), match.end() - 1)
    )
    return {(place.line, place.column) for place in places}


def _highest(systems: Sequence[Sequence[Row]], found: DigitStyle) -> int:
    """The highest fret that stands by itself, and is not two notes."""
    frets = (
        int(match[0])
        for rows in systems
        for row in rows
        for match in _FRET.finditer(row.line.text, row.start, row.end)
        if len(match[0]) <= len("12")
        and (row.line.number, row.line.place(match.start()).column) not in found.split
    )
    return max(frets, default=0)


def _split_run(
    row: Row,
    match: re.Match[str],
    last_fret: int,
    found: DigitStyle,
    problems: ProblemList,
    close: bool,
) -> None:
    """Read three figures side by side as three notes, as a triplet is typed. How long they are,
    and whether two of them are one fret that the hand comes to, may be doubted: a warning, but
    where the typist types ``close``."""
    places = [row.line.place(i) for i in range(match.start(), match.end())]
    if len(set(match[0])) == 1:  # likelier a slip of the keyboard
        return
    found.split.update((p.line, p.column) for p in places[:-1])
    doubtful = any(10 <= int(match[0][i : i + 2]) <= last_fret for i in (0, 1))
    problems.add(
        kinds.TWO_NOTES,
        f"{match[0]} is read as 3 notes, since no fret is written so"
        + ("; two of its figures may be one fret: type a dash between them" if doubtful else ""),
        places[0],
        Severity.NOTICE if close and not doubtful else Severity.WARNING,
    )


def _is_dense(systems: Sequence[Sequence[Row]]) -> bool:
    notes = close = 0
    for rows in systems:
        singles: set[int] = set()
        wide: set[int] = set()
        for row in rows:
            for match in _FRET.finditer(row.line.text, row.start, row.end):
                start, end = match.span()
                if end - start == 1:
                    singles.add(start - row.start)
                else:
                    wide.update(range(start - row.start - 1, end - row.start + 1))
        plain = singles - wide
        notes += len(plain)
        close += sum(1 for column in plain if column + 1 in singles)
    return notes >= 8 and close > _CLOSE_TYPING * notes


def _has_no_frets(systems: Sequence[Sequence[Row]], last_fret: int) -> bool:
    """True where most runs of figures are no fret: one begins with 0, has three figures or more, or
    lies beyond the neck. Who types those sets notes side by side."""
    runs = [
        str(run)
        for rows in systems
        for row in rows
        for run in _FIGURES.findall(row.line.text, row.start, row.end)
        if len(set(run)) > 1
    ]
    none = sum(run[0] == "0" or len(run) > len("12") or int(run) > last_fret for run in runs)
    return none >= _FEWEST_NO_FRETS and 2 * none > len(runs)


def _numbers(
    rows: Sequence[Row], found: DigitStyle, problems: ProblemList
) -> tuple[list[tuple[int, int]], list[tuple[Row, re.Match[str]]]]:
    """The frets of one digit in a system, with their columns and in their order, and the numbers
    of two digits; three digits and more are as many notes."""
    singles: list[tuple[int, int]] = []
    doubles: list[tuple[Row, re.Match[str]]] = []
    for row in rows:
        for match in _FRET.finditer(row.line.text, row.start, row.end):
            if len(match[0]) == 2:
                doubles.append((row, match))
            elif len(match[0]) == 1 and match[0] != "0":
                singles.append((match.start() - row.start, int(match[0])))
            elif len(match[0]) > 1:
                places = [row.line.place(i) for i in range(match.start(), match.end())]
                found.split.update((p.line, p.column) for p in places[:-1])
                problems.add(
                    kinds.TWO_NOTES,
                    f"{match[0]} is read as {len(match[0])} notes: no fret is written so, and "
                    "this tab sets notes in neighbouring columns",
                    places[0],
                )
    return sorted(singles), doubles


def _among_its_like(
    row: Row,
    match: re.Match[str],
    singles: Sequence[tuple[int, int]],
    doubles: Sequence[tuple[int, int]],
) -> bool:
    """True for a number in a measure that has no lower fret but open strings, and others of two
    digits within reach: the hand is up the neck."""
    text, fret = row.line.text, int(match[0])
    left = text.rfind("|", row.start, match.start()) - row.start
    right = text.find("|", match.end(), row.end) - row.start
    right = len(text) if right < 0 else right
    if any(left < column < right for column, _ in singles):
        return False
    here = {other for column, other in doubles if left < column < right}
    return len(here) > _FEW and max(here) - min(here) <= _REACH and fret in here


def _decide(
    row: Row,
    match: re.Match[str],
    singles: Sequence[tuple[int, int]],
    last_fret: int,
    found: DigitStyle,
    problems: ProblemList,
) -> None:
    """Decide whether a number of two digits is two notes."""
    fret = int(match[0])
    after = row.line.text[match.end() : match.end() + 1]
    if after and after not in _PLAIN_AFTER and not after.isalnum():
        return  # a sign on it, as of a harmonic: one fret
    column = match.start() - row.start
    first = bisect_left(singles, (column - _WINDOW, 0))
    near = [f for c, f in singles[first : first + _MOST_NEAR] if c <= column + _WINDOW]
    one, two = divmod(fret, 10)
    place = row.line.place(match.start())
    if fret > last_fret:
        found.split.add((place.line, place.column))
        problems.add(
            kinds.TWO_NOTES,
            f"{match[0]} is read as {one} and then {two}: the neck ends at {last_fret}, and "
            "this tab sets notes in neighbouring columns",
            place,
        )
        return
    if not near:
        return
    as_one = min(abs(fret - f) for f in near)
    as_two = max(min(abs(n - f) for f in near) if n else 0 for n in (one, two))
    if as_two <= _REACH < as_one:
        found.split.add((place.line, place.column))
        problems.add(
            kinds.TWO_NOTES,
            f"{match[0]} is read as {one} and then {two}: the notes around it are at frets "
            f"{min(near)} to {max(near)}, out of reach of fret {fret}",
            place,
        )
    elif as_one <= _REACH and as_two <= _REACH:
        problems.add(
            kinds.CLOSE_CALL,
            f"{match[0]} is read as fret {fret}; {one} and then {two} could be meant as well, "
            "since both lie under the hand and this tab sets notes in neighbouring columns",
            place,
        )
