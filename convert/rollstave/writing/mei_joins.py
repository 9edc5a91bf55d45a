"""What joins the notes of a staff in MEI 5."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from lxml import etree

from rollstave.score.links import LinkPair, goes_on
from rollstave.score.records import Score
from rollstave.vocabulary.signs import LINKS
from rollstave.writing.note_ids import STAFF_PREFIX, id_of
from rollstave.writing.xml import add


def join_notes(
    element: etree._Element,
    pairs: Sequence[LinkPair],
    score: Score,
    last_part: Mapping[tuple[int, int, int], int],
    for_engraving: bool,
) -> None:
    """Write the slurs and slide lines of a measure; those of the tab are drawn later."""
    slurred: set[tuple[int, ...]] = set()
    for pair in pairs:
        row = LINKS[pair.kind]
        if not row.joins or (row.held and not goes_on(score.measures, pair)):
            continue
        start, end = pair.start, pair.end
        part = last_part.get((start.measure, start.event, start.string), 0)
        first, last = id_of(STAFF_PREFIX, start, part), id_of(STAFF_PREFIX, end, 0)
        if for_engraving and start.grace is not None:
            continue  # the sheet draws it, with the stems of the grace notes
        if row.joins != "slur" and not (row.joins == "gliss" and for_engraving):
            add(element, row.joins, startid=f"#{first}", endid=f"#{last}")
        # A note that a slide leads to is not struck (Gould, Behind Bars, 2011, from memory).
        slides = row.joins == "gliss" and not row.picked and start.grace is None
        at = start.measure, start.event, end.measure, end.event
        if row.joins == "slur" or slides:
            if not for_engraving or at not in slurred:  # chords have one slur (the same)
                add(element, "slur", startid=f"#{first}", endid=f"#{last}")
            slurred.add(at)
