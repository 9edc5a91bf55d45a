"""A hand-out as text: its words, and its exercises as tab that is read again as it was.

Every exercise stands under its number and name, as on sheets of exercises, so the text
is a tab of all of them. Words that a tab would take for something else begin with ``Remark:``.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from rollstave.deciding.shapes import NamedShape, suggest_fingers
from rollstave.writing.handout.joining import joined
from rollstave.writing.handout.records import (
    Block,
    Chart,
    ChartBar,
    Exercise,
    Handout,
    Shapes,
    Words,
)
from rollstave.writing.text.document import WIDTH, as_text, remark, typed_blocks


def write_text(handout: Handout, width: int = WIDTH) -> bytes:
    """The hand-out as text in UTF-8, no wider than ``width`` where a measure allows. Raises
    ValueError for one without music."""
    found = joined(handout, named=False)
    head, systems = typed_blocks(found.score, width, {begin for begin, _ in found.spans})
    spans = iter(found.spans)
    short = found.score.setup.instrument.short_string
    thumbed = short.string if short is not None else None
    blocks: list[list[str]] = [head]
    number = 0
    for part in handout.parts:
        if part.name:
            blocks.append(_said(part.name.upper(), width))
        for block in part.blocks:
            if not isinstance(block, Exercise):
                blocks += _lines(block, width, thumbed)
                continue
            number += 1
            begin, end = next(spans)
            music = [lines for first, lines in systems if begin <= first < end]
            numbered = f"Exercise {number}: "
            name = numbered + block.name.removeprefix(numbered)
            blocks.append([name, *_said(block.why, width), "", *music[0]])
            blocks += music[1:]
    return as_text(blocks)


def _said(words: str, width: int) -> list[str]:
    return [remark(line) for line in textwrap.wrap(words, width - len("Remark: "))]


def _lines(block: Block, width: int, thumbed: int | None) -> Iterator[list[str]]:
    if isinstance(block, Words):
        yield _said(block.text, width)
    elif isinstance(block, Shapes):
        rows = [block.name] if block.name else []
        rows += [
            _shape(shape, block.captions[n] if n < len(block.captions) else "", thumbed)
            for n, shape in enumerate(block.shapes)
        ]
        yield [remark(row) for row in rows]
    elif isinstance(block, Chart):
        rows = [block.name] if block.name else []
        yield [remark(row) for row in (*rows, *_chart(block))]


def _shape(shape: NamedShape, caption: str, thumbed: int | None) -> str:
    """``C: strings 3 to 1 at frets 0 1 2; fingers ...``, low strings first."""
    stopped = [(n, f) for n, f in enumerate(shape.frets, start=1) if f is not None]
    fingers = suggest_fingers(shape.frets, thumbed).fingers
    places = [
        f"string {n} " + (f"fret {f} ({_finger(fingers[n - 1])})" if f else "open")
        for n, f in reversed(stopped)
    ]
    more = f" - {caption.replace(chr(10), ', ')}" if caption else ""
    return f"{shape.label}: {', '.join(places)}{more}"


def _finger(finger: int | None) -> str:
    return "thumb" if finger is None else f"finger {finger}"


def _chart(chart: Chart) -> Iterator[str]:
    wide = max((len(_cell(bar)) for bar in chart.bars), default=0)
    for line in chart.lines:
        yield "| " + " | ".join(_cell(bar).ljust(wide) for bar in line) + " |"


def _cell(bar: ChartBar) -> str:
    chords = " ".join(bar.chords)
    return f"{chords} ({bar.under})" if bar.under else chords
