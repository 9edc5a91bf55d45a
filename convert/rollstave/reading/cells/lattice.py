"""Where notes stand, by the columns that the other notes of their system keep to.

Onsets come from the grid, not from the digit: a mark before a fret, ``(0)``, ``<12>`` or ``t12``,
stands where it begins if the other rows say so, or if the columns come out even so where wide
frets push the others; a note a column beside a brush belongs to it, and a dash too many in one row
costs that measure. What is done is common practice, no source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import gcd

from msgspec import Struct, field
from msgspec.structs import replace

from rollstave.grid.typed import Stroke
from rollstave.problems import ProblemList
from rollstave.reading.cells.graces import Grace
from rollstave.reading.rows.cutting import Cell, Slot
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.signs import LINKS

_STEPS = (2, 3)  # characters between two columns of a typist who keeps to every second or third
_KEPT = 0.9  # share of the notes that keep to them
_FEWEST = 6  # notes that show it

_EMPTY = "-. "
_OPENING = "(<["
_TIED = "=_"  # one of these right before a fret: it is tied

Strokes = list[tuple[int, Stroke]]


class CellsRead(Struct):
    """What the cells of a measure hold: strokes by string, with their positions, and those of the
    letters of rests."""

    by_string: dict[int, Strokes] = field(default_factory=dict)
    sign_widths: dict[tuple[int, int], int] = field(default_factory=dict)
    graces: list[Grace] = field(default_factory=list)
    rests: list[int] = field(default_factory=list)


class Lattice(Struct, frozen=True):
    """The columns that notes keep to: every ``step`` characters from ``first`` on."""

    step: int
    first: int

    def has(self, position: int) -> bool:
        return position % self.step == self.first


def straighten(found: Sequence[CellsRead], slots: Sequence[Slot], problems: ProblemList) -> None:
    """Move notes that stand beside the columns that they are meant for."""
    plain: list[list[int]] = []  # the positions of plain notes, measure by measure
    marked: list[bool] = []
    for cells, slot in zip(found, slots, strict=True):
        positions, marks = _plain_positions(cells, slot)
        plain.append(positions)
        marked.append(marks)
    lattice = lattice_of(plain)
    if lattice is None and True not in marked:
        return
    begins = lattice is None and _even_by_beginnings(found, slots, marked)
    front = _front(plain) if lattice is None else None
    for index, (cells, slot) in enumerate(zip(found, slots, strict=True)):
        uneven = lattice is not None and not slot.even
        if lattice is not None and uneven:
            _into_step(cells, slot, lattice)
        if marked[index]:
            early = _begins_at(cells, slot, front)
            _marks_before(cells, slot, lattice, begins or early, problems)
        if lattice is None:
            continue
        step, first = lattice.step, lattice.first
        if uneven or [position for position in plain[index] if position % step != first]:
            _beside_brushes(cells, lattice, problems)


def _plain_positions(cells: CellsRead, slot: Slot) -> tuple[list[int], bool]:
    """Where notes stand that have no mark before them, in rows that are no longer and no shorter
    than the others, and whether there are notes with marks."""
    positions: list[int] = []
    marked = False
    usual = slot.usual_width
    for string, strokes in cells.by_string.items():
        cell = slot.cells[string - 1]
        text, start = cell.row.line.text, cell.start
        odd = usual is not None and cell.end - start != usual
        for position, stroke in strokes:
            at = start + position
            if (
                position
                and text[at - 1] not in _EMPTY
                and (begin := begin_of(cell.text, position)) < position
            ):
                marked = marked or not _led_to(stroke, text[start + begin])
            elif stroke.width == 1 and not odd:
                positions.append(position)
    return positions, marked


def lattice_of(measures: Sequence[Sequence[int]]) -> Lattice | None:
    """The columns of a system, None where notes stand everywhere or too few say it."""
    number = sum([len(positions) for positions in measures])
    if number < _FEWEST:
        return None
    for step in _STEPS:
        counts = [0] * step
        for positions in measures:
            for position in positions:
                counts[position % step] += 1
        kept = max(counts)
        if kept >= _KEPT * number:
            return Lattice(step=step, first=counts.index(kept))
    return None


def begin_of(text: str, digits: int) -> int:
    """Where the marks begin that stand before a fret and belong to no note before it."""
    at = digits
    if at and text[at - 1] in _TIED:
        return at if text[max(0, at - 2)] == text[at - 1] and at > 1 else at - 1
    while at and text[at - 1] not in _EMPTY and text[at - 1] not in _TIED:
        at -= 1
        if text[at].isalnum() and (text[at].isdigit() or text[at] in "xX"):
            return digits
        if text[at] in ")>}*~":
            return digits
    return at


def _front(plain: Sequence[Sequence[int]]) -> int | None:
    """The column in which the measures of a system begin, None where none says it."""
    firsts = Counter(min(positions) for positions in plain if positions)
    column = firsts.most_common(1)[0][0] if firsts else None
    return column if firsts and column == min(firsts) else None


def _begins_at(cells: CellsRead, slot: Slot, front: int | None) -> bool:
    """True if the first note of a measure has its mark where the other measures begin."""
    if front is None:
        return False
    notes = list(_notes(cells))
    string, position, _ = min(notes, key=lambda note: note[1])
    return begin_of(slot.cells[string - 1].text, position) == front < position


def _led_to(stroke: Stroke, mark: str) -> bool:
    """True for a note that the sign before it leads to, not one with the sign of a tie, nor
    one that is reached from nowhere: dashes stand before the sign of a tap that is."""
    if stroke.link is None or mark in _OPENING or mark in _TIED:
        return False
    return not LINKS[stroke.link].from_nowhere


def _notes(cells: CellsRead) -> Iterator[tuple[int, int, Stroke]]:
    for string, strokes in cells.by_string.items():
        for position, stroke in strokes:
            yield string, position, stroke


def _move(cells: CellsRead, string: int, old: int, new: int) -> None:
    cells.by_string[string] = [
        (new if position == old else position, stroke)
        for position, stroke in cells.by_string[string]
    ]
    width = cells.sign_widths.pop((string, old), None)
    if width is not None:
        cells.sign_widths[string, new] = width


# Marks before a fret --------------------------------------------------------------------------


def _marks_before(
    cells: CellsRead, slot: Slot, lattice: Lattice | None, begins: bool, problems: ProblemList
) -> None:
    """Put a fret where its marks begin, or at its digits: what the other rows say, and else where
    ``begins`` says. Brackets that begin under another note and end where one could stand are
    weighed, and the doubt is said."""
    marked: list[tuple[int, int, int, Stroke]] = []
    plain: set[int] = set()
    for string, position, stroke in _notes(cells):
        begin = begin_of(slot.cells[string - 1].text, position)
        if begin < position and _led_to(stroke, slot.cells[string - 1].text[begin]):
            continue  # the sign leads here from an earlier note: 9-h11
        if begin < position:
            marked.append((string, begin, position, stroke))
        else:
            plain.add(position)
    for string, begin, position, stroke in marked:
        if position in plain:
            continue
        early = begins if lattice is None else lattice.has(begin)
        new = begin if begin in plain or early else position
        if lattice is not None and lattice.has(position) and begin not in plain:
            new = position
        close = position + 1
        if (
            new in plain
            and lattice is not None
            and new >= lattice.step
            and close - new == lattice.step
            and slot.cells[string - 1].text[close : close + 1] in (")", ">", "]")
            and close not in plain
            and _one_at_a_time(cells, new)
        ):
            new = close
            problems.add(
                kinds.COLUMN_BESIDE,
                "the brackets here may begin under the note that stands there or end after it; "
                "they are read as a note after it, since no two notes of this measure are "
                "struck together",
                stroke.place,
            )
        if new != position:
            _move(cells, string, position, new)
            if new == begin and slot.cells[string - 1].text[begin] not in _OPENING:
                _count_sign(cells, string, new, position - new)


def _count_sign(cells: CellsRead, string: int, position: int, long: int) -> None:
    """Count the sign before a fret to its characters, where it stands at the sign: no longer to
    those that push it."""
    cells.sign_widths.pop((string, position), None)
    cells.by_string[string] = [
        (at, replace(stroke, width=stroke.width + long) if at == position else stroke)
        for at, stroke in cells.by_string[string]
    ]


def _even_by_beginnings(
    found: Sequence[CellsRead], slots: Sequence[Slot], marked: Sequence[bool]
) -> bool:
    """True if columns that wide frets and signs push come out even where marks count from their
    beginning, in more measures than where digits count."""
    score = 0
    for cells, slot, has_marks in zip(found, slots, marked, strict=True):
        if has_marks:
            score += _even(cells, slot, begins=True) - _even(cells, slot, begins=False)
    return score > 0


def _even(cells: CellsRead, slot: Slot, begins: bool) -> bool:
    """True if all notes of a measure stand an even step from each other, with or without what the
    characters of wide frets and of signs push."""
    pushes: dict[int, int] = {}
    for string, position, stroke in _notes(cells):
        text = slot.cells[string - 1].text
        begin = begin_of(text, position)
        sign = cells.sign_widths.get((string, position), 0)
        own = stroke.width
        if begin < position and not _led_to(stroke, text[begin]):
            sign = 0
            if begins:
                own += (position - begin) * (text[begin] not in _OPENING)
                position = begin
        pushes[position - sign] = max(pushes.get(position - sign, 0), sign + own - 1)
    places = sorted(pushes)
    total, pushed = 0, []
    for place in places:
        pushed.append(place - total)
        total += pushes[place]
    return len(places) > 2 and any(
        gcd(*(b - a for a, b in pairwise(line))) > 1 for line in (places, pushed)
    )


def _one_at_a_time(cells: CellsRead, but: int) -> bool:
    """True if, but for one place, nothing is struck together."""
    counts = Counter(position for _, position, _ in _notes(cells) if position != but)
    return len(counts) > 2 and max(counts.values()) == 1


# A note beside a brush ------------------------------------------------------------------------


def _beside_brushes(cells: CellsRead, lattice: Lattice, problems: ProblemList) -> None:
    """Put notes that stand off the columns, right beside a brush on other strings, into it."""
    columns: dict[int, list[tuple[int, Stroke]]] = {}
    for string, position, stroke in _notes(cells):
        columns.setdefault(position, []).append((string, stroke))
    for position in sorted(columns):
        late = columns[position]
        if lattice.has(position) or any(s.width > 1 or s.link for _, s in late):
            continue
        for beside in (position - 1, position + 1):
            brush = columns.get(beside, [])
            if len(brush) < 2 or len(brush) < len(late) or not lattice.has(beside):
                continue
            if {n for n, _ in brush} & {n for n, _ in late} or any(s.width > 1 for _, s in brush):
                continue
            for string, stroke in late:
                _move(cells, string, position, beside)
                problems.add(
                    kinds.COLUMN_BESIDE,
                    "this note stands a column beside notes that are struck together; it is "
                    "taken to be struck with them",
                    stroke.place,
                )
            break


# A dash too many or too few -------------------------------------------------------------------


def _into_step(cells: CellsRead, slot: Slot, lattice: Lattice) -> None:
    """Move the notes of a row that is longer or shorter than the others, from the place on where
    more of them stand right so. The cutting has said that the row is out of step."""
    usual = slot.usual_width
    if usual is None:
        return
    ends = Counter(_width_to_bar(cell) for cell in slot.cells)
    in_step = ends.most_common(1)[0][0]
    for string, strokes in list(cells.by_string.items()):
        cell = slot.cells[string - 1]
        more = _width(cell) - usual
        if not more or abs(more) >= lattice.step or any(s.width > 1 for _, s in strokes):
            continue
        if _width_to_bar(cell) == in_step:
            continue  # the dots of a repeat stand in place of a dash
        right = [lattice.has(position) for position, _ in strokes]
        moved = [lattice.has(position - more) for position, _ in strokes]
        count = len(strokes)
        split = max(range(count, -1, -1), key=lambda at: sum(right[:at]) + sum(moved[at:]))
        after = strokes[split:]
        # The farthest first, so that none is moved to where another still stands.
        for position, _ in after if more > 0 else reversed(after):
            _move(cells, string, position, position - more)


def _width(cell: Cell) -> int:
    return cell.end - cell.start


_DOTS = ":.*oO"  # what the dots of a repeat are typed as


def _width_to_bar(cell: Cell) -> int:
    """The width of a cell with the dots that stand between it and its bar line."""
    text = cell.row.line.text
    end = cell.end
    while end < len(text) and text[end] in _DOTS:
        end += 1
    return end - cell.start
