"""What a plugin's mark sees of a system and draws with. Public and kept stable."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Literal

from lxml import etree
from msgspec import Struct

from rollstave.score.records import Measure, Note, Score
from rollstave.writing.fonts import Style
from rollstave.writing.sheet.context import MarkContext, half_width
from rollstave.writing.sheet.drawing import number, path, shape, text, text_box

_STYLES = {"regular": Style.REGULAR, "bold": Style.BOLD, "italic": Style.ITALIC}


class PlacedNote(Struct, frozen=True):
    """A note on the tab of a system: the middle of its digits, and half their width, in units.

    ``onset`` is in quarter notes from the start of the measure. ``tied`` is True for the later
    parts of a note that is written as several.
    """

    note: Note
    measure: Measure
    onset: Fraction
    x: float
    y: float
    half_width: float
    tied: bool


class SheetCanvas:
    """One system of a sheet, to draw on. Lengths are hundredths of a millimetre, y grows
    downwards; a space between two lines of the tab is 315.

    What is drawn lies in a layer of the mark's own, in the colour of the sheet.
    """

    def __init__(self, context: MarkContext, layer: etree._Element) -> None:
        self._context = context
        self._layer = layer

    @property
    def score(self) -> Score:
        """The whole tune."""
        return self._context.score

    @property
    def measures(self) -> tuple[Measure, ...]:
        """The measures of this system."""
        return tuple(notated.measure for notated in self._context.notated)

    @property
    def tab_lines(self) -> tuple[float, ...]:
        """The height of each line of the tab, string 1 first; empty if no tab is shown."""
        tab = self._context.system.tab
        return tuple(tab.heights) if tab is not None else ()

    @property
    def top(self) -> float:
        """The highest point of the system so far."""
        drawn = (box.top for box in self._context.taken.boxes)
        return min((self._context.system.top, *drawn))

    @property
    def bottom(self) -> float:
        """The lowest point of the system so far."""
        return self._context.system.bottom

    def span(self, measure: Measure) -> tuple[float, float]:
        """The left and the right end of a measure of this system. Raises KeyError for another."""
        return self._context.system.spans[measure.index]

    def notes(self) -> Iterator[PlacedNote]:
        """Every note on the tab of the system, from left to right; none if no tab is shown."""
        for notated, symbol, note, tied, name in self._context.heads():
            at = self._context.system.places.get(name)
            if at is not None and self._context.system.tab is not None:
                measure = notated.measure
                event = measure.events[symbol.event_index]
                wide = half_width(note, tied)
                yield PlacedNote(
                    note=note,
                    measure=measure,
                    onset=event.onset,
                    x=at[0],
                    y=at[1],
                    half_width=wide,
                    tied=tied,
                )

    def is_free(self, left: float, top: float, right: float, bottom: float) -> bool:
        """True if no digit and no mark stands on a ground."""
        from rollstave.writing.sheet.skyline import Box

        return self._context.taken.free(Box(left, top, right, bottom))

    def text(
        self,
        words: str,
        x: float,
        y: float,
        size: float = 300.0,
        anchor: Literal["start", "middle", "end"] = "middle",
        style: Literal["regular", "bold", "italic"] = "regular",
    ) -> float:
        """Write words, their base line at y; the width that they take."""
        box = text(self._layer, words, x, y, size, anchor, _STYLES[style])
        self._reach(box.left, box.top, box.right, box.bottom)
        return box.right - box.left

    def width(self, words: str, size: float = 300.0) -> float:
        """The width of words."""
        box = text_box(words, 0.0, 0.0, size, "start")
        return box.right - box.left

    def line(self, x1: float, y1: float, x2: float, y2: float, width: float = 22.0) -> None:
        """Draw a line."""
        d = f"M{number(x1)} {number(y1)} L{number(x2)} {number(y2)}"
        path(self._layer, d, width)
        self._reach(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2))

    def circle(self, x: float, y: float, radius: float, width: float = 22.0) -> None:
        """Draw a circle; one of width 0 is filled."""
        shape(
            self._layer,
            "circle",
            cx=float(x),
            cy=float(y),
            r=float(radius),
            fill="none" if width else "currentColor",
            stroke="currentColor" if width else None,
            stroke_width=float(width) if width else None,
        )
        self._reach(x - radius, y - radius, x + radius, y + radius)

    def _reach(self, left: float, top: float, right: float, bottom: float) -> None:
        """Keep the ground, and let the system have room for it."""
        from rollstave.writing.sheet.skyline import Box

        self._context.taken.add(Box(left, top, right, bottom))
        self._context.system.top = min(self._context.system.top, top)
        self._context.system.bottom = max(self._context.system.bottom, bottom)
