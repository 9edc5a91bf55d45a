"""The simulated typist: a tune as text tab, and the truth about every column of it.

Styles (the words are those of the benchmark's definition):

- even: a fixed number of columns per unit; frets of two digits and signs eat the dashes;
- pushed: the same, but such frets and signs push the rest of the measure right;
- sloppy: as pushed, and one gap in ten is a column too wide or too narrow;
- squeezed: one or two dashes between notes, whatever their length;
- counted, lettered: squeezed, with a line under each system (``counts``, ``letters``);
- drawn: squeezed, with stems and beams under each system (``stems``).

A lead-in of 0 to 2 dashes after each bar line is constant in a tune. Repeat dots are typed in
every row. A hammered, pulled or slid note has its sign either right after the fret before or
right before its own fret, as the typist's spacing is.
"""

from __future__ import annotations

import random

from .counts import beat_of, count_labels
from .letters import letter_labels
from .model import ArrangedMeasure, ArrangedTune, Bar, Style, TuneKind, TypedMeasure, TypedTune
from .spacing import columns, draw_spacing
from .stems import drawn_under, stem_labels
from .tunings import row_labels

ROWS = (1, 2, 3, 4, 5)
WIDEST_LINE = 100  # characters; a system has 2 to 5 measures, fewer rather than wider


class Page:
    """Typed lines so far, with the places of what was typed."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.measures: list[TypedMeasure] = []


def type_tune(
    tune: ArrangedTune, style: Style, seed: int, time_heading: bool = True, title: str = ""
) -> TypedTune:
    """Type a tune in a style, under its title or a number."""
    rng = random.Random(f"{seed}:typist:{tune.kind}:{tune.number}:{style}")
    spacing = draw_spacing(tune, style, rng)
    early_sign = rng.random() < 0.6
    per_system = rng.randint(2, 5)
    beat = beat_of(tune) if style is Style.COUNTED else None
    page = Page()
    name = "Roll tune" if tune.kind is TuneKind.ROLL else "Tune"
    title = title or f"{name} {tune.number}"
    page.lines += [f"Title: {title}", f"Tuning: {tune.tuning}"]
    if time_heading:
        page.lines.append(f"Time: {tune.meter}")
    blocks = []
    for measure in tune.measures:
        if style is Style.COUNTED and beat is not None:
            labels = count_labels(measure, tune.meter, beat)
        elif style is Style.LETTERED:
            labels = letter_labels(measure)
        elif style is Style.DRAWN:
            labels = stem_labels(measure)
        else:
            labels = [""] * len(measure.events)
        block = Block(measure, labels, *columns(measure, spacing, labels, rng))
        if style is Style.DRAWN:
            block.under = drawn_under(measure, block.positions, block.width, tune.meter)
        blocks.append(block)
    start = 0
    while start < len(blocks):
        stop = _system_end(blocks, start, per_system)
        if stop == len(blocks) - 1:
            stop += 1  # no system of a single measure
        page.lines.append("")
        _type_system(page, blocks[start:stop], row_labels(tune.tuning), early_sign)
        start = stop
    return TypedTune("\n".join(page.lines) + "\n", tune.meter, tuple(page.measures))


class Block:
    """One measure, ready to be typed."""

    def __init__(
        self, measure: ArrangedMeasure, labels: list[str], positions: list[int], width: int
    ) -> None:
        self.measure = measure
        self.labels = labels
        self.positions = positions
        self.width = width
        self.under = [self._labelled()]

    def _labelled(self) -> str:
        cells = [" "] * self.width
        for position, label in zip(self.positions, self.labels, strict=True):
            cells[position : position + len(label)] = label
        return "".join(cells)

    def row(self, string: int, early_sign: bool) -> str:
        """The characters of one row between the bar lines."""
        cells = ["-"] * self.width
        end_before = 0
        for event, position in zip(self.measure.events, self.positions, strict=True):
            for stroke in event.strokes:
                if stroke.string != string:
                    continue
                digits = str(stroke.fret)
                assert position >= end_before + (1 if end_before else 0), "notes touch"
                if stroke.link:
                    cells[end_before if early_sign else position - 1] = stroke.link
                cells[position : position + len(digits)] = digits
                end_before = position + len(digits)
        assert len(cells) == self.width, "a fret runs over the bar line"
        return "".join(cells)


def _system_end(blocks: list[Block], start: int, per_system: int) -> int:
    """The index after the last measure of the system that begins at ``start``."""
    stop, width = start, 0
    count = per_system + (1 if blocks[start].measure.kind == "pickup" else 0)
    while stop < len(blocks) and stop - start < count:
        width += blocks[stop].width + 1
        if stop - start >= 2 and width > WIDEST_LINE:
            break
        stop += 1
    return stop


def _bar(before: Block | None, after: Block | None) -> str:
    """The bar line between two measures, or at an end of a system."""
    ends = before is not None and before.measure.right is Bar.REPEAT_END
    starts = after is not None and after.measure.left is Bar.REPEAT_START
    if ends and starts:
        return ":||:"
    if ends or starts:
        return ":|" if ends else "|:"
    return "||" if before is not None and before.measure.right is Bar.DOUBLE else "|"


def _type_system(
    page: Page, blocks: list[Block], labels: tuple[str, ...], early_sign: bool
) -> None:
    indent = max(len(label) for label in labels)
    bars = [
        _bar(before, after) for before, after in zip([None, *blocks], [*blocks, None], strict=True)
    ]
    first_line = len(page.lines) + 1
    for string in ROWS:
        text = labels[string - 1].ljust(indent) + bars[0]
        for block, bar in zip(blocks, bars[1:], strict=True):
            text += block.row(string, early_sign) + bar
        page.lines.append(text)
    start = indent + len(bars[0])
    for block, bar in zip(blocks, bars[1:], strict=True):
        events = block.measure.events
        places = []
        for event, position in zip(events, block.positions, strict=True):
            places.append((first_line + event.strokes[0].string - 1, start + position + 1))
        page.measures.append(
            TypedMeasure(
                block.measure.length,
                tuple(e.onset for e in events),
                tuple(e.duration for e in events),
                tuple(places),
                block.measure.kind,
            )
        )
        start += block.width + len(bar)
    page.lines += _under(blocks, bars, indent)


def _under(blocks: list[Block], bars: list[str], indent: int) -> list[str]:
    """The lines of words and drawings under a system, those with anything in them."""
    found = []
    for number in range(len(blocks[0].under)):
        text = " " * (indent + len(bars[0]))
        for block, bar in zip(blocks, bars[1:], strict=True):
            text += block.under[number][: block.width] + " " * len(bar)
            spill = block.under[number][block.width :]  # a label that is wider than its room
            if spill:
                text = text[: -len(bar)] + spill + text[len(text) - len(bar) + len(spill) :]
        if text.strip():
            found.append(text.rstrip())
    return found
