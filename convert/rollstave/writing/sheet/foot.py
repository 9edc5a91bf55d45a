"""Under the last system: the rolls that the tune uses, and the typist's own words.

Lengths are in units.
"""

from __future__ import annotations

from dataclasses import dataclass

from lxml import etree

from rollstave.score.model import Score
from rollstave.score.rolls import first_uses
from rollstave.score.shapes import CAUTION, used_shapes
from rollstave.writing.fonts import Style, text_width
from rollstave.writing.options import SheetOptions
from rollstave.writing.sheet.drawing import shape, text

_SIZE, _LINE = 310.0, 420.0
_ABOVE = 350.0  # between the last system and the first line
_BETWEEN = 160.0  # between the legend and the words


@dataclass(frozen=True)
class Foot:
    """Lines of the legend and of the words, already cut to the width of the page."""

    legend: tuple[tuple[str, str], ...]
    words: tuple[str, ...]
    remarks: tuple[str, ...] = ()

    @property
    def height(self) -> float:
        """The room under the last system."""
        parts = [len(p) for p in (self.legend, self.words, self.remarks) if p]
        if not parts:
            return 0.0
        return _ABOVE + sum(parts) * _LINE + (len(parts) - 1) * _BETWEEN

    def draw(self, parent: etree._Element, left: float, top: float) -> None:
        """Draw it under ``top``."""
        y = top + _ABOVE
        if self.legend:
            group = shape(parent, "g", class_="legend")
            widest = max(text_width(name, _SIZE, Style.ITALIC) for name, _ in self.legend)
            for name, fingers in self.legend:
                y += _LINE
                text(group, name, left, y, _SIZE, "start", Style.ITALIC)
                text(group, fingers, left + widest + 300, y, _SIZE, "start")
            y += _BETWEEN
        for name, lines, style in (
            ("notes", self.words, Style.REGULAR),
            ("remarks", self.remarks, Style.ITALIC),
        ):
            if not lines:
                continue
            group = shape(parent, "g", class_=name)
            for line in lines:
                y += _LINE
                if line:
                    text(group, line, left, y, _SIZE, "start", style)
            y += _BETWEEN


def make_foot(score: Score, options: SheetOptions, width: float) -> Foot:
    """What stands under the last system, in lines ``width`` units wide."""
    legend = (
        tuple((use.name, " ".join(use.fingers)) for use in first_uses(score.measures))
        if options.rolls
        else ()
    )
    words = tuple(line for note in paragraphs(score) for line in _wrapped(note, width))
    remarks = tuple(line for remark in _remarks(score, options) for line in _wrapped(remark, width))
    return Foot(legend, words, remarks)


def paragraphs(score: Score) -> list[str]:
    """The typist's lines, joined where a sentence runs on, each headed by the section or the
    measure before which it stood."""
    places = score.note_measures or (0,) * len(score.notes)
    found: list[str] = []
    before: int | None = None
    for line, place in zip(score.notes, places, strict=True):
        # A line that goes on in the middle of a sentence begins with a small letter or a digit.
        goes_on = not line[:1].isupper() and bool(found) and found[-1][-1:] not in ".!?"
        if place == before and goes_on:
            found[-1] = f"{found[-1]} {line}"
            continue
        measures = score.measures
        if place != before and 0 < place < len(measures):
            measure = measures[place]
            line = f"{measure.section or f'Measure {measure.number}'}: {line}"
        found.append(line)
        before = place
    return found


def _remarks(score: Score, options: SheetOptions) -> list[str]:
    """What a player must know of what we added: suggested letters, names and fingers."""
    suggested = []
    notes = [n for m in score.measures for e in m.events for n in e.notes]
    if options.view.has_tab and any(n.finger and n.inferred_finger for n in notes):
        suggested.append("letters")
    if any(c.inferred for m in score.measures for c in m.chords):
        suggested.append("chord names")
    found = []
    if suggested:
        which = " and ".join(suggested)
        found.append(f"{which[0].upper()}{which[1:]} in italics are suggestions.")
    shown = options.chord_row or options.shapes_over_music
    if shown and any(any(s.frets) for s in used_shapes(score.measures)):
        found.append(
            f"So are the fingers of the chord shapes. {CAUTION}"
            if found
            else f"The fingers of the chord shapes are suggestions. {CAUTION}"
        )
    return [" ".join(found)] if found else []


def _wrapped(words: str, width: float) -> list[str]:
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(longer, _SIZE) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines
