"""Pages: a title block, systems one under the other, the typist's words, a footer.

Lengths are in units; 100 are a millimetre. The page is A4 (ISO 216: 210 by 297 mm). A tune that
fits on one page gets a page as tall as it needs.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass

from lxml import etree

from rollstave.score.model import Score
from rollstave.writing.sheet.drawing import number, shape, text
from rollstave.writing.sheet.engraving import (
    MUSIC_WIDTH,
    SVG,
    UNITS_PER_MM,
    XLINK,
    Engraving,
    System,
)
from rollstave.writing.xml import clean

PAGE_WIDTH, PAGE_HEIGHT = 21_000, 29_700
MARGIN = (PAGE_WIDTH - MUSIC_WIDTH) / 2
_TOP, _BOTTOM = 1_300.0, 1_400.0
_GAP, _WIDEST_GAP = 650.0, 1_100.0
_TITLE_SIZE, _TEXT_SIZE = 720.0, 340.0
_NOTE_SIZE, _NOTE_LINE, _NOTE_CHARACTERS = 320.0, 430.0, 110
FONT = "Times, serif"


@dataclass
class _Placed:
    """A system and the height on its page where its top comes."""

    system: System
    y: float


def tuning_line(score: Score) -> str:
    """The tuning in words, letters and notes: ``Tuning: sawmill, gDGCD (G4 D3 G3 C4 D4)``."""
    tuning = score.setup.tuning
    notes = " ".join(str(p) for p in reversed(tuning.pitches))
    name = f"{tuning.name}, " if tuning.name else ""
    return f"Tuning: {name}{tuning.written} ({notes})"


def capo_line(score: Score) -> str:
    """What is said about capo and short string, or nothing."""
    setup = score.setup
    parts = []
    if setup.capo:
        parts.append(f"Capo {setup.capo}")
    short = setup.instrument.short_string
    if short and (setup.short_raise or setup.capo):
        if setup.short_raise:
            from rollstave.pitch import spell

            pitch = spell(setup.open_midi(short.string), score.key.fifths)
            parts.append(f"fifth string raised to {pitch.letter}")
        else:
            parts.append("fifth string not raised")
    return ", ".join(parts)


def _title_block(parent: etree._Element, score: Score) -> float:
    """Draw the title block; the height under it."""
    block = shape(parent, "g", class_="title-block")
    y = _TOP + _TITLE_SIZE * 0.75
    text(block, score.title, PAGE_WIDTH / 2, y, _TITLE_SIZE, class_="title")
    left = [line for line in (tuning_line(score), capo_line(score)) if line]
    right = [line for line in (score.composer, score.source) if line]
    y += 750
    for lines, anchor, x in ((left, "start", MARGIN), (right, "end", PAGE_WIDTH - MARGIN)):
        for row, line in enumerate(lines):
            text(block, line, x, y + row * 450, _TEXT_SIZE, anchor)
    rows = max(len(left), len(right))
    if score.tempo is not None:
        _tempo(block, score, y + rows * 450)
        rows += 1
    return y + rows * 450


def _tempo(block: etree._Element, score: Score, y: float) -> None:
    """The metronome mark, its note drawn as shapes so that no music font is needed."""
    beat = score.meter.beat
    x = MARGIN + 100
    hollow = beat >= 2
    head = shape(
        block,
        "ellipse",
        cx=x,
        cy=y - 70,
        rx=85.0,
        ry=62.0,
        transform=f"rotate(-22 {number(x)} {number(y - 70)})",
        fill="none" if hollow else "currentColor",
        stroke="currentColor",
    )
    head.set("stroke-width", "30" if hollow else "10")
    shape(
        block,
        "path",
        d=f"M{number(x + 80)} {number(y - 95)} V{number(y - 430)}",
        fill="none",
        stroke="currentColor",
        stroke_width=20.0,
    )
    if score.meter.compound or beat.numerator == 3:
        shape(block, "circle", cx=x + 180, cy=y - 70, r=30.0, fill="currentColor")
    assert score.tempo is not None
    beats = score.tempo / beat
    shown = str(int(beats)) if beats.denominator == 1 else f"{float(beats):.1f}"
    text(block, f"= {shown}", x + 260, y, _TEXT_SIZE, "start")


def _note_lines(score: Score) -> list[str]:
    return [line for note in score.notes for line in textwrap.wrap(note, _NOTE_CHARACTERS) or [""]]


def _distribute(systems: Sequence[System], first_top: float, words: float) -> list[list[_Placed]]:
    """Put systems on pages from top to bottom; pages that are full are spread out evenly."""
    pages: list[list[_Placed]] = [[]]
    y = first_top + 250
    for index, system in enumerate(systems):
        height = system.bottom - system.top
        tail = words if index + 1 == len(systems) else 0.0
        if pages[-1] and y + height + tail > PAGE_HEIGHT - _BOTTOM:
            _spread(pages[-1])
            pages.append([])
            y = _TOP
        pages[-1].append(_Placed(system, y))
        y += height + _GAP
    return pages


def _spread(page: list[_Placed]) -> None:
    """Widen the gaps of a full page so that its last system ends at the bottom margin."""
    last = page[-1]
    free = PAGE_HEIGHT - _BOTTOM - (last.y + last.system.bottom - last.system.top)
    if len(page) < 2 or free <= 0:
        return
    extra = min(free / (len(page) - 1), _WIDEST_GAP - _GAP)
    for index, placed in enumerate(page):
        placed.y += index * extra


def lay_out(score: Score, engraving: Engraving) -> list[bytes]:
    """The finished pages as SVG files."""
    draft = etree.Element(f"{{{SVG}}}g")
    block_bottom = _title_block(draft, score)
    lines = _note_lines(score)
    words = len(lines) * _NOTE_LINE + 300 if lines else 0.0
    pages = _distribute(engraving.systems, block_bottom, words)
    result = []
    for position, placed in enumerate(pages):
        last = placed[-1]
        end = last.y + last.system.bottom - last.system.top
        is_last = position + 1 == len(pages)
        height = PAGE_HEIGHT if len(pages) > 1 else end + words + _BOTTOM - 400
        root = _page(score, position, len(pages), height)
        _glyphs(root, engraving, [p.system for p in placed])
        body = shape(root, "g", font_family=FONT, fill="currentColor", class_="page")
        if position == 0:
            body.append(deepcopy(draft[0]))
        for item in placed:
            holder = shape(
                body,
                "g",
                class_="music",
                stroke="currentColor",
                stroke_width=0,
                transform=f"translate({number(MARGIN)} {number(item.y - item.system.top)})",
            )
            holder.append(item.system.element)
        if is_last:
            notes = shape(body, "g", class_="notes")
            for row, line in enumerate(lines):
                y = end + 300 + (row + 1) * _NOTE_LINE
                text(notes, line, MARGIN, y, _NOTE_SIZE, "start", font_style="italic")
        if len(pages) > 1:
            footer = f"{score.title} · {position + 1} of {len(pages)}"
            text(body, footer, PAGE_WIDTH / 2, PAGE_HEIGHT - 700, 280.0, class_="footer")
        result.append(
            etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=False)
        )
    return result


def _page(score: Score, position: int, total: int, height: float) -> etree._Element:
    root = etree.Element(f"{{{SVG}}}svg", nsmap={None: SVG, "xlink": XLINK})
    root.set("width", f"{PAGE_WIDTH // UNITS_PER_MM}mm")
    root.set("height", f"{height / UNITS_PER_MM:.1f}mm")
    root.set("viewBox", f"0 0 {PAGE_WIDTH} {number(height)}")
    root.set("color", "black")
    root.set("role", "img")
    shape(root, "title").text = clean(score.title)
    where = f", page {position + 1} of {total}" if total > 1 else ""
    shape(root, "desc").text = clean(
        f"{score.title}: staff and tablature for {score.setup.instrument.name}, "
        f"{tuning_line(score)}{where}"
    )
    style = shape(root, "style")
    style.text = (
        ".music .ending text,.music .reh text{font-weight:bold}"
        ".music .mNum text{font-style:italic}"
        ".music path{stroke:currentColor}.marks path{stroke-width:inherit}"
    )
    return root


def _glyphs(root: etree._Element, engraving: Engraving, systems: Sequence[System]) -> None:
    """The outlines of the music glyphs that a page uses."""
    used = {
        use.get(f"{{{XLINK}}}href", "").lstrip("#")
        for system in systems
        for use in system.element.iter(f"{{{SVG}}}use")
    }
    defs = shape(root, "defs")
    for glyph in engraving.glyphs:
        if glyph.get("id") in used:
            defs.append(deepcopy(glyph))
