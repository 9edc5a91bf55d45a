"""Rows whose dashes or bars are typed with other characters: one habit a function."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence

from msgspec.structs import replace

from rollstave.patterns import rare
from rollstave.reading.beside.stems import looks_drawn
from rollstave.reading.cells.signs import square_meaning
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.finding import as_row, is_remark, label_of
from rollstave.reading.rows.full_rows import with_full_rows
from rollstave.reading.rows.records import Row
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds

# What people type for an empty stretch of string where they do not use dashes.
FILLS = "=_. ~·•+:*,'^`"
_FEWEST_WEAK_ROWS = 4
_FEWEST_STRINGS = 3  # of an instrument
_FRETS = frozenset("0123456789oOxX")
# Repeats drawn with brackets in place of bars.
_BRACKETED_REPEATS = (("[:", "|:"), (":]", ":|"), ("{:", "|:"), (":}", ":|"))
# In "po" before a fret the letter is a part of the sign.
_BRACKETED_ROW = rare(r"\s*(?:[A-Ga-g][#b]?\d?\s*)?\[(?P<inside>[-\d(<|][^\[\]]*)\]\s*")
_LETTER_O = rare(
    r"(?:(?<=[-(dghpsuvDGHPSUV/\\=^<>~])|(?<=\|:)|(?<=\| )|(?<=-[12]))"
    r"[oO](?!(?<=[hpHP][oO])\d)(?=[-\ddghpsuvDGHPSUV^<>=~*|/\\()]|$)"
)
_AFTER_BAR = rare(
    r"(?<=[|!l\]+:])[oO](?=[-\ddghpsuvDGHPSUV^/\\])|(?<=^[A-Ga-g])[oO](?=[-hp])|(?<!\S)[oO](?=[-\d])"
    r"|(?<=^[A-Ga-g]: )[oO](?=[-\d])"
)
_ZERO = rare(r"(?<!\d)0")
_DOTS = rare(r"(?<!\d)[oO](?=\|)")
_SMALL_INSIDE = rare(r"(?<=[-.\dhpsHPS/])o(?=[-.\dhpsHPS/])")
_INSIDE = rare(r"(?<=[-.(\ddghpsuvDGHPSUV^/])[oO](?!(?<=[hpHP][oO])\d)(?=[-.)\ddghpsuvDGHPSUV^/])")
_O_IS = rare(r"(?<![^\s,;(])[oO]\s*(?:=|:|\bis\b|\bmeans\b)\s*[A-Za-z]")
_SQUARE_FRET = rare(r"\[(\d{1,2}|[oO])\]")
_UNDER = 3  # columns by which an underline may be longer or shorter than its words
_FEWEST_FILLS = 3  # signs of a fill in a row
_FEWEST_O = 3


def bracketed_repeats(state: ReadingState) -> None:
    """Read ``[:`` and ``:]`` as repeat signs, and a bracket at either end of a row as its bars."""
    for index, line in enumerate(state.lines):
        text = line.text
        if "[" in text and "--" in text and (match := _BRACKETED_ROW.fullmatch(text)):
            a, b = match.span("inside")
            state.rows[index] = as_row(
                line.with_text(f"{text[: a - 1]}|{match['inside']}|{text[b + 1 :]}")
            )
            continue
        if ":" not in text:
            continue
        for typed, meant in _BRACKETED_REPEATS:
            text = text.replace(typed, meant)
        if text != line.text and not looks_drawn(line.text) and not is_remark(line):
            state.rows[index] = as_row(line.with_text(text))
            if state.rows[index] is None and _OTHER_FILL.search(text) and not _A_WORD.search(text):
                state.lines[index] = line.with_text(text)  # a row once its fill is known


_OTHER_FILL = rare(r"([=_.~·•+*'^`])\1{3}")
_A_WORD = rare(r"[^\W\d_]{3}")


def empty_rows_side_by_side(state: ReadingState) -> None:
    """Take what looks like stems, between two rows and with the bars of the row above, for an
    empty row of two systems side by side."""
    lines, rows = state.lines, state.rows
    for index in range(1, len(lines) - 1):
        if rows[index] is not None or rows[index - 1] is None or rows[index + 1] is None:
            continue
        line = lines[index]
        if looks_drawn(line.text) and bars_in(line.text) == bars_in(lines[index - 1].text):
            rows[index] = as_row(line)


def other_fills(state: ReadingState) -> None:
    """Put dashes for another fill. Such rows are believed only in groups of four or more with
    something in common: a ruler or a line of dots is no row. In a file without rows, empty lines
    may stand between them."""
    lines, rows = state.lines, state.rows
    if not any("|" in line.text for line in lines):
        _with_bars(lines)
    fills = _fill_runs(state, gap=0)
    if not any(rows) and sum("|" in line.text for line in lines) >= _FEWEST_WEAK_ROWS:
        fills = _fill_runs(state, gap=1)
    if fills:
        _rows_left_over(state, fills)


# Bars that are no bars on a keyboard of old: tried where a system has no | at all.
BAR_LOOKALIKES = "!+:Il/[]{}\\i*."
_FEWEST_BARS = 2


def _with_bars(lines: list[Line]) -> None:
    """Put ``|`` for another sign that stands in the same columns of four lines and more, with
    nothing but frets and fill between: bars of rows that have blanks for dashes."""
    start = 0
    for index in range(len(lines) + 1):
        if index < len(lines) and not lines[index].blank:
            continue
        run = range(start, index)
        start = index + 1
        for bar in BAR_LOOKALIKES:
            own = [i for i in run if _is_barred(lines[i].text, bar)]
            columns = {tuple(at for at, c in enumerate(lines[i].text) if c == bar) for i in own}
            if len(own) >= _FEWEST_STRINGS + 1 and len(columns) == 1:
                for i in own:
                    lines[i] = lines[i].with_text(lines[i].text.replace(bar, "|"))
                break


def _is_barred(text: str, bar: str) -> bool:
    """True for a line of a label and cells of nothing but frets and fill."""
    label, *cells = text.rstrip().split(bar)
    short = len(label.strip()) <= _LABEL
    if len(cells) <= _FEWEST_BARS or bar in _OF_CELLS:
        return False
    return short and not any(cell.strip(_OF_CELLS) for cell in cells)


_LABEL = 3
_OF_CELLS = " -._0123456789hpsxX()~"


_TO_BAR = 6  # characters before the first bar of such a row


def _rows_left_over(state: ReadingState, fills: Collection[str]) -> None:
    """Put dashes for the fill of other rows of the file in those that stand in smaller groups, as
    on both sides of a remark: lines with bars from their beginning on."""
    for index, line in enumerate(state.lines):
        if state.rows[index] is not None or line.text.count("|") < 2 or is_remark(line):
            continue
        if line.text.find("|") <= _TO_BAR + len(line.text) - len(line.text.lstrip()):
            made = (_with_fill(line, fill) for fill in fills)
            state.rows[index] = next((row for row in made if row is not None), None)


def _fill_runs(state: ReadingState, gap: int) -> set[str]:
    """Look through each run of lines, with so many empty lines at most between two; the fills that
    are found."""
    fills: set[str] = set()
    lines, rows = state.lines, state.rows
    blank = [not line.text or line.text.isspace() for line in lines]
    run: list[int] = []
    for index in range(len(lines) + 1):
        words = index < len(lines) and rows[index] is None and not blank[index]
        if words and (not run or index - run[-1] <= gap + 1):
            run.append(index)
            continue
        if not words and index < len(lines) and blank[index] and run and index - run[-1] <= gap:
            continue
        if len(run) >= _FEWEST_STRINGS:
            fill, found = _weak_rows([lines[i] for i in run])
            for offset, row in found.items():
                rows[run[offset]] = row
            fills |= {fill} if found else set()
        run = [index] if words else []
    return fills


def other_fill_in_one_row(state: ReadingState) -> None:
    """Put dashes for another fill in one row, as people set the short string apart: it has a
    label, and its bars stand under those of the row beside it."""
    rows = state.rows
    for index, line in enumerate(state.lines):
        if rows[index] is not None or line.blank:
            continue
        if (bare := _thumb_row(state, index)) is not None:
            rows[index] = bare
            continue
        beside = [rows[i] for i in (index - 1, index + 1) if 0 <= i < len(rows)]
        bars = [bars_in(row.line.text) for row in beside if row is not None and row.label]
        if not bars or bars_in(line.text) != bars[0] or len(bars[0]) < 2:
            continue
        if label_of(line.text)[0]:
            found = (_with_fill(line, fill) for fill in FILLS)
            rows[index] = next((row for row in found if row is not None), None)


def _thumb_row(state: ReadingState, index: int) -> Row | None:
    """The fifth row under four without labels, where its blanks begin before the first bar: its
    other bars stand under theirs."""
    above = state.rows[max(0, index - 5) : index]
    four = above[-4:]
    if len(four) < 4 or None in four or (len(above) == 5 and above[0] is not None):
        return None
    last = four[-1]
    assert last is not None
    text, bars = state.lines[index].text, bars_in(last.line.text)
    own = bars_in(text)
    if last.label or len(own) < 2 or own != bars[1:] or text[: own[0]].strip():
        return None
    filled = " " * bars[0] + "|" + text[bars[0] + 1 :].replace(" ", "-")
    row = as_row(state.lines[index].with_text(filled))
    return replace(row, line=row.line) if row else None


def square_brackets(state: ReadingState) -> None:
    """Put round brackets for square ones around frets, where the legend says what notes in square
    brackets are."""
    if not any(
        row is None and "[" in line.text and square_meaning(line) is not None
        for line, row in zip(state.lines, state.rows, strict=True)
    ):
        return
    state.rows = [row and _with_round(row) for row in state.rows]


def _with_round(row: Row) -> Row:
    text = _SQUARE_FRET.sub(lambda match: f"({match[1]})", row.line.text)
    return row if text == row.line.text else replace(row, line=row.line.with_text(text))


def underlines(state: ReadingState) -> None:
    """Tell a line of dashes under words, which is their underline, from the rows below it."""
    lines, rows = state.lines, state.rows
    for index in range(1, len(lines) - 1):
        row, below = rows[index], rows[index + 1]
        if row is None or below is None or rows[index - 1] is not None or lines[index - 1].blank:
            continue
        drawn = row.label or "|" in row.body or row.figures
        wider = len(row.body.strip()) - len(lines[index - 1].text.strip())
        if not drawn and ("|" in below.body or below.label) and abs(wider) <= _UNDER:
            rows[index] = None


def letters_for_zeros(state: ReadingState) -> None:
    """Put ``0`` for the letter o, where a file has that letter for every open string and no
    figure 0; else in the rows that have the letter and no 0, as people type it for one string."""
    found = [row for row in state.rows if row is not None]
    lettered = [row for row in found if "o" in row.body or "O" in row.body]
    count = sum(len(_LETTER_O.findall(row.body)) for row in lettered)
    if count < _FEWEST_O:
        return
    if all(_ZERO.search(row.body) is None for row in found):
        _say_zeros(state, lettered, "these rows have no 0")
        dotted = _has_dots(state.rows)
        # Where capitals stand for open strings, a small letter beside a bar is a repeat's dot.
        capital = dotted and not any(_SMALL_INSIDE.search(row.body) for row in found)
        state.rows = [row and _with_zeros(row, dotted, capital) for row in state.rows]
        return
    without = [row for row in lettered if not _ZERO.search(row.body)]
    inside = sum(len(_INSIDE.findall(row.body)) for row in without)
    if inside < _FEWEST_O or _legend_has_o(state):
        return
    _say_zeros(state, without, "the rows that have it have no 0")
    dotted = _has_dots(state.rows)
    lines = {row.line.number for row in without}
    state.rows = [
        _with_inner_zeros(row, dotted) if row and row.line.number in lines else row
        for row in state.rows
    ]


def _say_zeros(state: ReadingState, rows: Sequence[Row], why: str) -> None:
    first = next(row for row in rows if _LETTER_O.search(row.body))
    at = _LETTER_O.search(first.line.text, first.start)
    state.problems.add(
        kinds.LETTER_FOR_ZERO,
        f"the letter o is read as the figure 0, an open string: {why}",
        first.line.place(at.start() if at else first.start),
    )


def _legend_has_o(state: ReadingState) -> bool:
    """True if words say what the letter is: the legend decides then."""
    return any(
        row is None and _O_IS.search(line.text) is not None
        for line, row in zip(state.lines, state.rows, strict=True)
    )


def _with_inner_zeros(row: Row, dotted: bool) -> Row:
    """The row with figures for the letter; beside a bar only where no repeat has such dots."""
    text = _INSIDE.sub("0", row.line.text) if dotted else None
    if text is None:
        return _with_zeros(row, dotted=False, capital=False)
    return row if text == row.line.text else replace(row, line=row.line.with_text(text))


def _has_dots(rows: Sequence[Row | None]) -> bool:
    """True if the letter stands before a bar in two rows of a system at least, as the dots of a
    repeat do; an open string is struck there alone."""
    before: Counter[int] = Counter()
    for row in (*rows, None):
        if row is None:
            if any(count > 1 for count in before.values()):
                return True
            before.clear()
        elif "o" in row.body or "O" in row.body:
            before.update(m.start() for m in _DOTS.finditer(row.line.text, row.start))
    return False


def _with_zeros(row: Row, dotted: bool, capital: bool) -> Row:
    """The row with figures for the letter. Right after a bar the letter may be a repeat's dot:
    where the file has such dots before bars, too."""
    text = row.line.text
    if capital:
        text = _LETTER_O.sub(lambda match: "0" if match[0] == "O" else match[0], text)
        return row if text == row.line.text else replace(row, line=row.line.with_text(text))
    text = _LETTER_O.sub("0", text)
    if not dotted:
        text = _AFTER_BAR.sub("0", text)
    return row if text == row.line.text else replace(row, line=row.line.with_text(text))


def bars_in(text: str) -> list[int]:
    """The indices of the bars of a text."""
    return [index for index, char in enumerate(text) if char == "|"]


def _weak_rows(lines: Sequence[Line]) -> tuple[str, dict[int, Row]]:
    """Rows with another fill in a run of lines, by index, and the fill."""
    best: dict[int, Row] = {}
    best_fill = ""
    text = "\n".join([line.text for line in lines])
    for fill in FILLS:
        if text.count(fill) < _FEWEST_FILLS * _FEWEST_STRINGS and fill != " ":
            continue
        made = [None if is_remark(line) else _with_fill(line, fill) for line in lines]
        if fill != " ":
            with_full_rows([line.with_text(line.text.replace(fill, "-")) for line in lines], made)
        found: dict[int, Row] = {}
        start = 0
        for index in range(len(made) + 1):
            if index < len(made) and made[index] is not None:
                continue
            alike = index - start == _FEWEST_STRINGS and _barred_alike(lines[start:index])
            if index - start >= _FEWEST_WEAK_ROWS or alike:
                group = {i: row for i in range(start, index) if (row := made[i]) is not None}
                drawn = all(looks_drawn(lines[i].text) for i in group)
                struck = any(c in _FRETS for row in group.values() for c in row.body)
                if struck and not drawn:
                    found.update(group)
            start = index + 1
        if len(found) > len(best):
            best, best_fill = found, fill
    return best_fill, best


def _barred_alike(lines: Sequence[Line]) -> bool:
    """True for lines that have labels, and their bars in the same columns: few are rows then."""
    bars = [bars_in(line.text) for line in lines]
    labels = all(label_of(line.text)[0] for line in lines)
    return labels and len(bars[0]) > 1 and all(found == bars[0] for found in bars)


def _with_fill(line: Line, fill: str) -> Row | None:
    """The line as a row with dashes in place of another fill, or None."""
    text = line.text
    if fill == " ":
        first, last = text.find("|"), text.rfind("|")
        indent = len(text) - len(text.lstrip())
        if first < 0 or last - first < 4 or first - indent > 6:
            return None
        plain = text[:first] + text[first:last].replace(" ", "-") + text[last:]
    elif text.count(fill) < _FEWEST_FILLS:
        return None
    else:
        plain = text.replace(fill, "-")
    row = as_row(line.with_text(plain))
    return replace(row, line=row.line) if row else None
