"""The page of a score: how large it is set, and where the words of its head stand on it.

MusicXML 4.0 measures in tenths of the space between two lines of a staff, from the lower left
corner of a page. The sizes are those of the sheet: a staff of 7 mm on A4 (ISO 216).
"""

from __future__ import annotations

from lxml import etree

from rollstave.score.records import Score
from rollstave.vocabulary.headings import Stands
from rollstave.writing.headings import said_in
from rollstave.writing.xml import add

_STAFF, _TENTHS = 7, 40  # millimetres that a staff is high, and the tenths that these are
_WIDTH, _HEIGHT, _MARGIN = 210, 297, 12  # of the page, in millimetres
_TITLE_SIZE, _WORDS_SIZE = 24, 11  # points
_LINE = 28  # tenths from one line of words to the next
_UNDER_TITLE = 70  # tenths from the top of the title to the top of the lines under it
_TOP, _SYSTEMS, _STAVES = 60, 130, 75  # tenths over a page's first system, between systems, staves


def _tenths(millimetres: float) -> float:
    return round(millimetres * _TENTHS / _STAFF, 2)


def add_page(root: etree._Element, score: Score) -> None:
    """The size of staff and page, and the words of the head with their places."""
    defaults = add(root, "defaults")
    scaling = add(defaults, "scaling")
    add(scaling, "millimeters", _STAFF)
    add(scaling, "tenths", _TENTHS)
    layout = add(defaults, "page-layout")
    add(layout, "page-height", _tenths(_HEIGHT))
    add(layout, "page-width", _tenths(_WIDTH))
    margins = add(layout, "page-margins", type="both")
    for side in ("left", "right", "top", "bottom"):
        add(margins, f"{side}-margin", _tenths(_MARGIN))
    system = add(defaults, "system-layout")
    add(system, "system-distance", _SYSTEMS)
    add(system, "top-system-distance", _TOP)
    add(add(defaults, "staff-layout", number=2), "staff-distance", _STAVES)
    _credits(root, score)


def leave_room(element: etree._Element, score: Score) -> None:
    """Keep room for the head over the first system."""
    lines = len(_at_the_right(score))
    layout = add(add(element, "print"), "system-layout")
    add(layout, "top-system-distance", _UNDER_TITLE + _LINE * max(1, lines) + _TOP)


def _at_the_right(score: Score) -> list[tuple[str, str]]:
    """What stands on the side of the composer: the kind of each line, and its words."""
    return [
        (row.credit, row.on_the_sheet(said))
        for row, said in said_in(score)
        if row.stands is Stands.RIGHT
    ]


def _credits(root: etree._Element, score: Score) -> None:
    """The title block and the typist's free text, as words on the page: the title in the middle,
    who made it at the right under it, and lines of words at the foot."""
    top = _tenths(_HEIGHT - _MARGIN)
    _credit(root, "title", score.title, ("center", _tenths(_WIDTH / 2), top, _TITLE_SIZE))
    for row, (kind, words) in enumerate(_at_the_right(score)):
        y = round(top - _UNDER_TITLE - row * _LINE, 2)
        _credit(root, kind, words, ("right", _tenths(_WIDTH - _MARGIN), y, _WORDS_SIZE))
    for row, words in enumerate(score.notes):
        y = round(_tenths(_MARGIN) + (len(score.notes) - 1 - row) * _LINE, 2)
        _credit(root, "", words, ("left", _tenths(_MARGIN), y, _WORDS_SIZE))


def _credit(
    root: etree._Element, kind: str, words: str, place: tuple[str, float, float, int]
) -> None:
    """Words of a kind: their alignment, their place in tenths, and their size in points."""
    side, x, y, size = place
    credit = add(root, "credit", page=1)
    if kind:
        add(credit, "credit-type", kind)
    add(
        credit,
        "credit-words",
        words,
        default_x=x,
        default_y=y,
        font_size=size,
        justify=side,
        halign=side,
        valign="bottom" if side == "left" else "top",
    )
