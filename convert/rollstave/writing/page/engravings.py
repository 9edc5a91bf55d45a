"""The music at several widths, one drawing for each system.

The page shows the engraving that fits the screen. One stands in the page as it is: it shows where
no script runs, and it is the one that is printed. The others wait in the page packed (gzip), since
drawings of music pack to about an eighth, and any browser that plays the page unpacks them.
"""

from __future__ import annotations

import gzip
from base64 import b64encode
from collections.abc import Mapping

from lxml import etree
from msgspec import Struct
from msgspec.structs import replace

from rollstave.score.records import Score
from rollstave.writing.options import SheetOptions
from rollstave.writing.others import OtherMarks
from rollstave.writing.page.slim import Slimmer
from rollstave.writing.sheet.drawing import number, shape
from rollstave.writing.sheet.engraving import SVG, Engraving, System
from rollstave.writing.sheet.pages import music_width
from rollstave.writing.sheet.pagination import gaps_of
from rollstave.writing.sheet.svg import engraved
from rollstave.writing.xml import clean, root_element

# Millimetres: a phone upright, a phone on its side, a tablet or a sheet of paper, a desk.
WIDTHS = (90, 130, 186, 250)
PAPER_WIDTH = 186
EDGE = 60.0  # units around a system, so that no line's thickness is cut
_NONE: Mapping[int, int] = {}
_GROUND = 170.0  # units that a measure's ground reaches over the staff and under the tab


class Engraved(Struct, frozen=True):
    """The systems of a tune at one width, as HTML; ``width`` in millimetres."""

    width: int
    html: str

    @property
    def packed(self) -> str:
        """The same, packed with gzip and written in base 64."""
        return b64encode(gzip.compress(self.html.encode(), 9, mtime=0)).decode()


class Engravings(Struct, frozen=True):
    """All engravings of a version, and the glyphs that they share."""

    all: tuple[Engraved, ...]
    glyphs: list[etree._Element]

    @property
    def paper(self) -> Engraved:
        return next(e for e in self.all if e.width == PAPER_WIDTH)


def make_engravings(
    score: Score,
    options: SheetOptions,
    slimmer: Slimmer,
    others: OtherMarks,
    prefix: str = "",
    heads: Mapping[int, int] = _NONE,
) -> Engravings:
    """Engrave a score at every width of the page, unsure measures marked. ``prefix`` goes before
    every id. ``heads`` has the number of the stretch that a measure heads, by the measure's index:
    its name is touched to play it."""
    found: list[Engraved] = []
    everything = Engraving([], [])
    for width in WIDTHS:
        wanted = replace(options, title_block=False, width=float(width), mark_unsure=True)
        engraving = engraved(score, wanted, others)
        everything.add_glyphs(engraving.glyphs)
        length = music_width(wanted)
        for system in engraving.systems:
            _head_stretches(score, system, heads)
        gaps = [*gaps_of(engraving.systems)[1:], EDGE]
        systems = [
            system_html(score, system, gap, length, slimmer, f"{prefix}w{width}-")
            for system, gap in zip(engraving.systems, gaps, strict=True)
        ]
        found.append(Engraved(width, "".join(systems)))
    return Engravings(tuple(found), everything.glyphs)


def system_html(
    score: Score,
    system: System,
    gap: float,
    width: float,
    slimmer: Slimmer,
    prefix: str,
    label: str = "",
) -> str:
    """One system as an SVG of its own, with a ground for each measure to touch and to tint and the
    gap to the next system under it. Its ``label`` is that of its measures where none is given."""
    box = (
        f"{number(-EDGE)} {number(system.top - EDGE)} {number(width + 2 * EDGE)} "
        f"{number(system.bottom - system.top + max(gap, 2 * EDGE))}"
    )
    _name_unsure(score, system)
    grounds = root_element(f"{{{SVG}}}g", {None: SVG})
    grounds.set("class", "grounds")
    top = system.first.heights[0] - _GROUND
    bottom = system.last.heights[-1] + _GROUND
    for index in system.measures:
        left, right = system.spans[index]
        shape(
            grounds,
            "rect",
            data_measure=index,
            x=float(left),
            y=float(top),
            width=float(right - left),
            height=float(bottom - top),
        )
    system.element.insert(0, grounds)
    numbers = [score.measures[index].number for index in system.measures]
    several = len(numbers) > 1
    measures = f"Measures {numbers[0]} to {numbers[-1]}" if several else f"Measure {numbers[0]}"
    named = clean(label or measures).replace("&", "&amp;").replace('"', "&quot;")
    music = slimmer.slimmed(system.element, prefix)
    return f'<svg class="system" viewBox="{box}" role="group" aria-label="{named}">{music}</svg>'


def _head_stretches(score: Score, system: System, heads: Mapping[int, int]) -> None:
    """Let the name of a section that heads a stretch say which it is."""
    named = [index for index in system.measures if score.measures[index].section] if heads else []
    names = system.element.iterfind(f".//{{{SVG}}}text[@class='section']") if named else ()
    for index, name in zip(named, names, strict=False):
        if index in heads:
            name.set("data-stretch", str(heads[index]))


def _name_unsure(score: Score, system: System) -> None:
    """Let the sign of an unsure measure be reached and read: its words become a name that the
    page shows when it is touched, instead of a title that only a mouse can find."""
    signs = system.element.iterfind(f".//{{{SVG}}}g[@class='unsure-sign']")
    for sign in signs:
        title = sign.find(f"{{{SVG}}}title")
        if title is None:
            continue
        words = title.text or ""
        sign.remove(title)
        sign.set("tabindex", "0")
        sign.set("role", "button")
        sign.set("aria-label", words)
