"""What a sheet shows and what it is printed on."""

from __future__ import annotations

from enum import Enum

from msgspec import Struct, field


class View(Enum):
    """Which staves a sheet has."""

    BOTH = "both"
    TAB = "tab"
    STAFF = "staff"

    @property
    def has_staff(self) -> bool:
        """True if staff notation is shown."""
        return self is not View.TAB

    @property
    def has_tab(self) -> bool:
        """True if tablature is shown."""
        return self is not View.STAFF


class Paper(Struct, frozen=True):
    """A page in units of the drawing (100 to a millimetre), and its name for Typst."""

    name: str
    width: int
    height: int


# ISO 216: A4 is 210 by 297 mm, A5 148 by 210 mm. Letter: ANSI/ASME Y14.1, 8.5 by 11 inches =
# 215.9 by 279.4 mm.
PAPERS = {
    p.name: p
    for p in (
        Paper("a4", 21_000, 29_700),
        Paper("a5", 14_800, 21_000),
        Paper("letter", 21_590, 27_940),
    )
}
# The height of a staff in millimetres, by the name of its size. 7 mm is the size of parts and of
# single sheets, 5.5 mm and less that of pocket scores (Gould, Behind Bars, 2011, from memory).
# Large print has frets of 14 points.
SIZES = {"pocket": 5.0, "small": 6.0, "normal": 7.0, "large": 10.85}
_DRAWN_STAFF = 7.2  # millimetres: of a staff where 100 units are a millimetre


class SheetOptions(Struct, frozen=True):
    """How a score is set as a sheet.

    ``whole_pages`` gives every page the paper's full height; without it a tune of one page gets a
    page as tall as it needs. ``prefix`` goes before every id, so that several sheets can share
    a web page; empty means one made from the title. ``embed_fonts`` puts the font into each SVG.
    ``size`` is the name of a row of ``SIZES``; every staff of the sheet has that height, however
    long the tune. ``large`` is the size ``large``; ``scale`` makes everything smaller or larger.
    ``as_typed`` begins a system where the typist began one.
    ``mark_unsure`` marks the measures whose rhythm is not sure.
    ``chord_row`` and ``rolls`` show the chord shapes at the head and the names of the rolls.
    ``key`` False leaves out what the signs mean, and what is a suggestion: a book says it once.
    ``tab_rests`` sets rests on the tab as well as on the staff.

    ``title_block`` False makes a figure instead of a sheet: only the systems, on a ground just
    large enough, at most ``width`` millimetres wide (None: as wide as the music of an A4 sheet).
    ``measures`` are the printed numbers of the first and last measure shown; None shows all, and
    None as the last goes to the end.
    """

    view: View = View.BOTH
    paper: Paper = field(default_factory=lambda: PAPERS["a4"])
    large: bool = False
    whole_pages: bool = False
    prefix: str = ""
    embed_fonts: bool = True
    chord_row: bool = True
    rolls: bool = True
    shapes_over_music: bool = False
    scale: float = 1.0
    mark_unsure: bool = False
    tab_rests: bool = False
    key: bool = True
    title_block: bool = True
    width: float | None = None
    measures: tuple[int, int | None] | None = None
    size: str = "normal"
    as_typed: bool = False

    @property
    def staff(self) -> float:
        """The height of a staff in millimetres. Raises KeyError if there is no such size."""
        return self.scale * SIZES["large" if self.large else self.size]

    @property
    def zoom(self) -> float:
        """How many times its own size everything is drawn."""
        return self.staff / _DRAWN_STAFF


def wrong_options(options: SheetOptions) -> str:
    """What is wrong with options, with the list of what there is; empty if nothing is."""
    if not isinstance(options.view, View):
        views = ", ".join(f"View.{view.name}" for view in View)
        return f"view is one of {views}, not {options.view!r}"
    if not isinstance(options.paper, Paper):
        papers = ", ".join(f"PAPERS[{name!r}]" for name in PAPERS)
        return f"paper is a Paper, such as {papers}, not {options.paper!r}"
    if options.size not in SIZES:
        return f"size is one of {', '.join(SIZES)}, not {options.size!r}"
    for name, value in (("scale", options.scale), ("width", options.width)):
        if value is not None and not (isinstance(value, int | float) and value > 0):
            return f"{name} is a number above 0, not {value!r}"
    if not isinstance(options.prefix, str):
        return f"prefix is a str, not a {type(options.prefix).__name__}"
    shown = options.measures
    if shown is not None and not (isinstance(shown, tuple) and len(shown) == 2):
        return f"measures is a pair of the first and last number, such as (1, 8), not {shown!r}"
    return ""
