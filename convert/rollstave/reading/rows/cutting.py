"""Cutting the rows of one system into measures at their bar lines."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence

from msgspec import Struct

from rollstave.grid.typed import Bar
from rollstave.patterns import rare
from rollstave.problems import ProblemList, Severity
from rollstave.reading.rows.in_step import in_step_anyhow, nothing_before
from rollstave.reading.rows.records import LETTER, Row
from rollstave.vocabulary import problems as kinds

# Repeat dots are colons; a star beside a bar means the same where no fret is next to it.
_BAR = re.compile(r"(?P<end>:|(?<![\d)>])[*oO•])?(?P<bar>\|+)(?P<start>:|[*oO•])?")


# The label of a second system beside the first: |---|     D|---|
_LABEL_AGAIN = re.compile(rf"\s+(?:{LETTER}\d?\s*)?")

_LETTER_DOT = rare(r"(?<=\|)[oO*]|(?<![\d)>])[oO](?=\|)")

_STEP = 3  # how many columns a bar may stand from those of other rows and be the same bar


class Cell(Struct, frozen=True):
    """One row's share of a measure: ``row.line.text[start:end]``."""

    row: Row
    start: int
    end: int

    @property
    def text(self) -> str:
        return self.row.line.text[self.start : self.end]


class Slot(Struct, frozen=True):
    """One measure of a system: a cell for each string, string 1 first, and its bars."""

    cells: tuple[Cell, ...]
    left: Bar
    right: Bar

    @property
    def width(self) -> int:
        usual = self.usual_width
        return max(cell.end - cell.start for cell in self.cells) if usual is None else usual

    @property
    def even(self) -> bool:
        """True if all rows are as wide here."""
        return len({cell.end - cell.start for cell in self.cells}) == 1

    @property
    def usual_width(self) -> int | None:
        """The width that most rows have here, or None."""
        widths = [cell.end - cell.start for cell in self.cells]
        width = widths[0]
        if widths.count(width) == len(widths):
            return width
        width = max(widths, key=widths.count)
        return width if 2 * widths.count(width) > len(widths) else None


class _RowBar(Struct, frozen=True):
    """A bar line in one row: from ``begin`` to ``end`` (repeat dots included)."""

    begin: int
    end: int
    kind: Bar
    also_starts: bool = False


def _bars_of(row: Row, dots: Counter[int]) -> list[_RowBar]:
    """The bars of a row. ``dots`` counts the rows that have the letter o beside a bar, by column:
    a repeat has two dots, so one row's letter alone is none."""
    bars = []
    for match in _BAR.finditer(row.line.text, row.start, row.end):
        ends, starts = match["end"] is not None, match["start"] is not None
        begin, end = match.span()
        if ends and dots[begin] == 1:
            ends, begin = False, begin + 1
        if (
            starts
            and (
                (dots[end - 1] == 1 and match["start"] != "*")
                # Right before a figure it is a repeat only if another row has it, too.
                or (
                    dots[end - 1] < 2
                    and match["start"] != ":"
                    and row.line.text[end : end + 1].isdigit()
                )
            )
        ):
            starts, end = False, end - 1
        if ends:
            kind = Bar.REPEAT_END
        elif starts:
            kind = Bar.REPEAT_START
        else:
            kind = Bar.DOUBLE if len(match["bar"]) > 1 else Bar.SINGLE
        bars.append(_RowBar(begin=begin, end=end, kind=kind, also_starts=ends and starts))
    return bars


_FEWEST_DOUBLE = 3  # bars within a row


def _plain_if_all_double(bars: list[_RowBar]) -> list[_RowBar]:
    """The bars of a row, single ones where all within it are double: none of them ends a part."""
    inner = bars[1:-1]
    if len(inner) < _FEWEST_DOUBLE or any(bar.kind is not Bar.DOUBLE for bar in inner):
        return bars
    single = [_RowBar(begin=bar.begin, end=bar.end, kind=Bar.SINGLE) for bar in inner]
    return [bars[0], *single, bars[-1]]


def _letter_dots(rows: Sequence[Row]) -> Counter[int]:
    """How many rows have the letter o beside a bar, or a star behind one, by its column."""
    found: Counter[int] = Counter()
    for row in rows:
        text = row.line.text
        if "o" in text or "O" in text or "*" in text:
            found.update(m.start() for m in _LETTER_DOT.finditer(text, row.start, row.end))
    return found


def _majority(all_bars: list[list[_RowBar]], usual: int) -> list[list[_RowBar]]:
    """The bars of rows whose numbers of bars differ.

    Rows with the usual number keep their own. A row with more or fewer takes its bars near the
    columns of the others, and a bar is assumed where it has none there.
    """
    model = next(bars for bars in all_bars if len(bars) == usual)
    result = []
    for bars in all_bars:
        if len(bars) == usual:
            result.append(bars)
            continue
        at = 0
        own: list[_RowBar] = []
        for wanted in model:
            while at < len(bars) and bars[at].begin < wanted.begin - _STEP:
                at += 1
            if at < len(bars) and bars[at].begin <= wanted.begin + _STEP:
                own.append(bars[at])
                at += 1
            else:
                begin = max(wanted.begin, own[-1].end if own else 0)
                own.append(_RowBar(begin, begin, wanted.kind))
        result.append(own)
    return result


def cut(rows: Sequence[Row], problems: ProblemList) -> list[Slot]:
    """The measures of a system. Rows out of step are matched bar by bar and reported."""
    dots = _letter_dots(rows)
    all_bars = [_plain_if_all_double(_bars_of(row, dots)) for row in rows]
    counts = Counter(len(bars) for bars in all_bars)
    usual, _ = counts.most_common(1)[0]
    if len(counts) > 1:
        model = next(bars for bars in all_bars if len(bars) == usual)
        for row, bars in zip(rows, all_bars, strict=True):
            if len(bars) != usual:
                if _ends_early(row, bars, all_bars, usual):
                    problems.add(
                        kinds.BARS_DIFFER,
                        "this row ends before the others; nothing is played on its string there",
                        row.line.place(row.start),
                        Severity.NOTICE,
                    )
                    continue
                _report_bars(row, bars, model, problems)
        all_bars = _majority(all_bars, usual)
    slots = _with_dots_beside(_slots(rows, all_bars), rows, all_bars)
    if len(counts) == 1:
        _report_steps(rows, all_bars, slots, problems)
    return slots


def _with_dots_beside(
    slots: list[Slot], rows: Sequence[Row], all_bars: list[list[_RowBar]]
) -> list[Slot]:
    """The measures, where those that a repeat closes are as wide as the others only if its dots
    stand behind them: some typists put a dot for the last dash, others add it."""
    closed = [i for i, slot in enumerate(slots) if slot.right is Bar.REPEAT_END]
    usual = {slot.width for i, slot in enumerate(slots) if i not in closed}
    if not usual or all(slots[i].width in usual for i in closed):
        return slots  # as they should be, or none by which the others could be measured
    shorter = _slots(rows, all_bars, dots_added=True)
    if len(shorter) != len(slots):
        return slots
    return [
        less if i in closed and slot.width not in usual and less.width in usual else slot
        for i, (slot, less) in enumerate(zip(slots, shorter, strict=True))
    ]


def _ends_early(
    row: Row, bars: Sequence[_RowBar], all_bars: Sequence[list[_RowBar]], usual: int
) -> bool:
    """True for a row that has its bars where the others have theirs, and is only left short."""
    model = [bar.begin for bar in next(found for found in all_bars if len(found) == usual)]
    own = [bar.begin for bar in bars]
    return 0 < len(own) < usual and own == model[: len(own)] and _text_end(row) <= model[len(own)]


def _report_bars(
    row: Row, bars: Sequence[_RowBar], model: Sequence[_RowBar], problems: ProblemList
) -> None:
    """Warn of a row with more or fewer bars than the others: where one lacks or is too many,
    if that is all, else once for the row."""
    lacking = _far_from(model, bars)
    more = _far_from(bars, model)
    said, at = "", row.start
    if len(lacking) == 1 and not more and lacking[0].begin < _text_end(row):
        at = lacking[0].begin
        said = "this row has no bar line here where the others have one; one is taken to stand here"
    elif len(more) == 1 and not lacking:
        at = more[0].begin
        said = "this row has a bar line here where the others have none; it is left out"
    problems.add(
        kinds.BARS_DIFFER,
        said
        or f"this row has {len(bars)} bar lines where the others have {len(model)}; "
        "the bars that most rows share are used",
        row.line.place(at),
        None if any(map(str.isalnum, row.body)) else Severity.NOTICE,  # nothing is struck in it
    )


def _far_from(bars: Sequence[_RowBar], others: Sequence[_RowBar]) -> list[_RowBar]:
    """The bars that stand near none of the others."""
    return [b for b in bars if all(abs(b.begin - o.begin) > _STEP for o in others)]


def _report_steps(
    rows: Sequence[Row],
    all_bars: list[list[_RowBar]],
    slots: Sequence[Slot],
    problems: ProblemList,
) -> None:
    """Warn of each row whose bars do not stand under those of the others: at its measure if one
    alone is longer or shorter, else once for the row."""
    if not all_bars[0]:
        ends = Counter(_text_end(row) for row in rows)
        usual = ends.most_common(1)[0][0]
        odd = [row for row in rows if _text_end(row) != usual]
    else:
        columns = [tuple(m.begin for m in bars) for bars in all_bars]
        # Repeat dots in some rows only begin one character earlier: compare the bar itself.
        columns = [
            tuple(row.line.text.index("|", b) for b in begins)
            for row, begins in zip(rows, columns, strict=True)
        ]
        common = Counter(columns).most_common(1)[0][0]
        odd = [row for row, begins in zip(rows, columns, strict=True) if begins != common]
    for row in odd:
        wrong = _odd_cells(row, slots)
        if len(wrong) == 1:
            cell, more = wrong[0]
            problems.add(
                kinds.ROWS_OUT_OF_STEP,
                f"this row has {abs(more)} character{'s' if abs(more) > 1 else ''} too "
                f"{'many' if more > 0 else 'few'} in this measure and is out of step with the "
                "rows of its system; the other measures are read from their own bar lines",
                row.line.place(cell.start),
                Severity.NOTICE if in_step_anyhow(cell.text, more, _even_texts(slots)) else None,
            )
            continue
        if not wrong and all_bars[0] and all(slot.usual_width for slot in slots):
            continue  # moved as a whole: by a tab, or a label that is longer than the others
        problems.add(
            kinds.ROWS_OUT_OF_STEP,
            "this row is out of step with the rows of its system: its bar lines stand in other "
            "columns, or it is longer or shorter; each measure is read from its own bar line",
            row.line.place(row.start),
        )


def _even_texts(slots: Sequence[Slot]) -> list[str]:
    """What stands in the cells that are as wide as most of their measure."""
    even = (c for slot in slots for c in slot.cells if c.end - c.start == slot.usual_width)
    return [cell.text for cell in even]


def _odd_cells(row: Row, slots: Sequence[Slot]) -> list[tuple[Cell, int]]:
    """The row's cells that are longer or shorter than those of most rows, and by how much."""
    found = []
    for slot in slots:
        usual = slot.usual_width
        for cell in slot.cells:
            if cell.row is row and usual is not None and cell.end - cell.start != usual:
                found.append((cell, cell.end - cell.start - usual))
    return found


def _merge(bars: Sequence[_RowBar]) -> Bar:
    found = {bar.kind for bar in bars}
    for kind in (Bar.REPEAT_END, Bar.REPEAT_START, Bar.DOUBLE):
        if kind in found:
            return kind
    return Bar.SINGLE


def _slots(
    rows: Sequence[Row], all_bars: list[list[_RowBar]], dots_added: bool = False
) -> list[Slot]:
    number = len(all_bars[0])
    slots: list[Slot] = []
    for index in range(-1, number):
        before = [bars[index] if index >= 0 else None for bars in all_bars]
        after = [bars[index + 1] if index + 1 < number else None for bars in all_bars]
        starts = [
            row.start if bar is None else _after_bar(row, bar, before)
            for row, bar in zip(rows, before, strict=True)
        ]
        ends = [
            _text_end(row)
            if bar is None
            else (_before_bar(row, bar, after) if dots_added else bar.begin)
            for row, bar in zip(rows, after, strict=True)
        ]
        cells = _without_blanks(
            Cell(row, start, max(start, end))
            for row, start, end in zip(rows, starts, ends, strict=True)
        )
        if index == -1 and all(nothing_before(cell.text) for cell in cells):
            continue
        if all(_LABEL_AGAIN.fullmatch(cell.text) for cell in cells):
            continue
        if (index == 0 < number - 1 or index == number - 2 > 0) and all(
            nothing_before(cell.text) for cell in cells
        ):
            continue  # |-| at the end, |-||: at the beginning
        if index == number - 1 and not (_holds_music(cells) or _open_end(cells)):
            continue
        left_bars = [m for m in before if m is not None]
        right_bars = [m for m in after if m is not None]
        left = _merge(left_bars) if left_bars else Bar.NONE
        if left is Bar.REPEAT_END:
            left = Bar.REPEAT_START if any(m.also_starts for m in left_bars) else Bar.SINGLE
        right = _merge(right_bars) if right_bars else Bar.NONE
        # At the end of a system it is for the next one; ``joining`` sees to that.
        if right is Bar.REPEAT_START and index + 1 < number - 1:
            right = Bar.SINGLE
        slots.append(Slot(cells, left, right))
    return slots


def _without_blanks(cells: Iterable[Cell]) -> tuple[Cell, ...]:
    """The cells without the blank that all rows have behind a bar, or before one: ``--- | ---``."""
    found = tuple(cells)
    if not all("-" in cell.text and " " not in cell.text.strip() for cell in found):
        return found  # where blanks stand among the notes, they are columns
    if all(cell.text[:1] == " " for cell in found):
        found = tuple(Cell(cell.row, cell.start + 1, cell.end) for cell in found)
    if all(cell.text[-1:] == " " for cell in found):
        found = tuple(Cell(cell.row, cell.start, cell.end - 1) for cell in found)
    return found


def _after_bar(row: Row, bar: _RowBar, others: Sequence[_RowBar | None]) -> int:
    """The column after a bar and its repeat dots, the same for the rows that have no dots."""
    end = bar.end
    if bar.kind is Bar.REPEAT_START or bar.also_starts or row.line.text[end : end + 1] != "-":
        return end
    has_dots = any(m and (m.kind is Bar.REPEAT_START or m.also_starts) for m in others)
    wide = has_dots and max(m.end - m.begin for m in others if m) > 1
    return end + 1 if wide else end


def _before_bar(row: Row, bar: _RowBar, others: Sequence[_RowBar | None]) -> int:
    """The column at which a measure ends before a bar and its repeat dots, the same for the rows
    that have no dots."""
    begin = bar.begin
    if bar.kind is Bar.REPEAT_END or row.line.text[max(0, begin - 1) : begin] != "-":
        return begin
    dots = sum(1 for m in others if m is not None and m.kind is Bar.REPEAT_END)
    return begin - 1 if dots > 1 else begin


def _text_end(row: Row) -> int:
    """Where the row's last character is, blanks left out."""
    return row.start + len(row.body.rstrip())


def _open_end(cells: Sequence[Cell]) -> bool:
    """Dashes after the last bar: the beginning of a measure that the next system ends."""
    return sum(cell.text.count("-") > 2 for cell in cells) > len(cells) // 2


def _holds_music(cells: Sequence[Cell]) -> bool:
    return any(re.search(r"[\dxX]", c.text) for c in cells) and any("-" in c.text for c in cells)
