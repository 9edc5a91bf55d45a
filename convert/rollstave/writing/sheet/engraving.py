"""What an engraving holds: systems, and where on each the staff lines and notes stand.

Lengths are in the units of Verovio's drawing: tenths of its page units, which are tenths of a
millimetre at the scale we use, so that 100 units are one millimetre.
"""

from __future__ import annotations

from lxml import etree
from msgspec import Struct, field

from rollstave.writing.fonts import Style
from rollstave.writing.sheet.skyline import Box, Skyline

SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"
HREF = f"{{{XLINK}}}href"
UNITS_PER_MM = 100
MUSIC_WIDTH = 18_600  # units: the width of a system on an A4 page
STAFF_SPACE = 180.0  # units: between two lines of the notation staff at unit 9
FRET_STYLE, FRET_WEIGHT = Style.SEMIBOLD, "600"
LYRIC_SIZE = 300.0  # units: smaller than the room that Verovio keeps, so words never touch


class StaffLines(Struct):
    """The lines of one staff in a system: heights from the top line, and the ends."""

    heights: list[float]
    left: float
    right: float


class System(Struct):
    """One system of the engraving. ``top`` and ``bottom`` bound what is drawn in it.

    ``staff`` and ``tab`` are the lines, None where the view lacks them. ``places`` maps the id
    of a note to its middle (x, y); ``texts`` the id of a tab note to the element that holds its
    digits; ``spans`` the index of a measure to its left and right end. ``drawn`` has a box for
    everything that Verovio drew, without staff lines, bar lines and digits. ``sung`` is the
    height of the words between staff and tab, ``time_left`` the left end of the time signature.
    ``endings`` are the brackets of endings, with their span; ``lyrics`` the syllables, with the
    middle of their note. ``under`` is the tab of another version, a system of its own until it is
    set under this one; ``foot`` has its lines from then on. ``said`` are the measures before which
    the typist's words stand over the music; ``paced`` is true where the metronome mark stands
    over the music, after the tempo in words.
    """

    element: etree._Element
    staff: StaffLines | None
    tab: StaffLines | None
    top: float
    bottom: float
    places: dict[str, tuple[float, float]] = field(default_factory=dict)
    texts: dict[str, etree._Element] = field(default_factory=dict)
    measures: list[int] = field(default_factory=list)
    spans: dict[int, tuple[float, float]] = field(default_factory=dict)
    drawn: Skyline = field(default_factory=Skyline)
    endings: list[tuple[etree._Element, str, float, float, bool]] = field(default_factory=list)
    lyrics: list[tuple[etree._Element, float]] = field(default_factory=list)
    sung: float = 0.0
    time_left: float | None = None
    under: System | None = None
    foot: StaffLines | None = None
    said: set[int] = field(default_factory=set)
    paced: bool = False

    @property
    def first(self) -> StaffLines:
        """The upper staff."""
        found = self.staff or self.tab
        assert found is not None
        return found

    @property
    def last(self) -> StaffLines:
        """The lowest staff."""
        found = self.foot or self.tab or self.staff
        assert found is not None
        return found

    def take(self, box: Box) -> None:
        """Note that something was drawn here, so that what comes later keeps clear of it."""
        self.drawn.add(box)
        self.top = min(self.top, box.top)
        self.bottom = max(self.bottom, box.bottom)


class Engraving(Struct):
    """All systems of a tune and the glyphs that they use."""

    systems: list[System]
    glyphs: list[etree._Element]

    def add_glyphs(self, more: list[etree._Element]) -> None:
        """Take over the glyphs of another engraving that are not here yet."""
        known = {glyph.get("id") for glyph in self.glyphs}
        self.glyphs.extend(glyph for glyph in more if glyph.get("id") not in known)
