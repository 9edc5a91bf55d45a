"""The tab of another version in MEI, as a third staff under the tune's own two."""

from __future__ import annotations

from lxml import etree
from msgspec import Struct

from rollstave.notating.notation import NotatedMeasure, notate
from rollstave.score.records import Score
from rollstave.writing.mei_measures import MeasureWriter
from rollstave.writing.options import View

UNDER_STAFF = 3
UNDER_PREFIX = "b"  # before every id of the other version
_ID = "{http://www.w3.org/XML/1998/namespace}id"
_ONCE = ("tempo", "reh")  # what the tune itself has over it


class Under(Struct, frozen=True):
    """The other version: its score, and its measures in symbols."""

    score: Score
    notated: tuple[NotatedMeasure, ...]


def under_of(score: Score) -> Under | None:
    """The version that stands beside a score, if there is one."""
    if score.beside is None:
        return None
    other = score.beside.score
    return Under(score=other, notated=notate(other))


class UnderWriter:
    """Writes the measures of the other version into those of the tune."""

    def __init__(self, under: Under, for_engraving: bool) -> None:
        self.notated = under.notated
        self.writer = MeasureWriter(
            score=under.score,
            notated=under.notated,
            view=View.TAB,
            for_engraving=for_engraving,
            tab_rests=True,
        )

    def measure(self, element: etree._Element, index: int) -> None:
        """Add the tab of a measure after the staves that it has, and its words after them."""
        made = self.writer.measure(etree.Element("section"), self.notated[index])
        place = len(element.findall("staff"))
        for part in list(made):
            if part.tag in _ONCE:
                continue
            part.set("n" if part.tag == "staff" else "staff", str(UNDER_STAFF))
            for item in part.iter():
                if name := item.get(_ID):
                    item.set(_ID, UNDER_PREFIX + name)
                if start := item.get("startid"):
                    item.set("startid", f"#{UNDER_PREFIX}{start[1:]}")
            if part.tag == "staff":
                element.insert(place, part)
            else:
                element.append(part)
