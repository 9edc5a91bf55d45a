"""SVG pages of a score: engrave, mark, lay out."""

from __future__ import annotations

from dataclasses import replace

from rollstave.score.links import links_of
from rollstave.score.model import Score
from rollstave.score.notation import notate
from rollstave.score.rolls import first_uses
from rollstave.writing.mei import build_mei
from rollstave.writing.options import SheetOptions
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.engraving import MUSIC_WIDTH, Engraving, engrave
from rollstave.writing.sheet.marks import draw_marks
from rollstave.writing.sheet.pages import (
    lay_out,
    music_width,
    plan_sheet,
    scale_for_one_page,
)

_PLAIN = SheetOptions()


def engraved(score: Score, options: SheetOptions = _PLAIN) -> Engraving:
    """The score's systems with all their marks, not yet on pages."""
    notated = notate(score)
    width = music_width(options)
    mei = build_mei(score, notated, view=options.view, for_engraving=True, room=width / MUSIC_WIDTH)
    engraving = engrave(mei, options.view, width)
    links = links_of(score.measures)
    rolls = list(first_uses(score.measures)) if options.rolls else []
    last_part = {(n.measure.index, s.event_index): s.part for n in notated for s in n.symbols}
    by_measure: dict[int, list[int]] = {}
    for position, pair in enumerate(links):
        for index in {pair.start.measure, pair.end.measure}:
            by_measure.setdefault(index, []).append(position)
    for system in engraving.systems:
        wanted = sorted({p for m in system.measures for p in by_measure.get(m, [])})
        draw_marks(
            MarkContext(
                score,
                system,
                [notated[m] for m in system.measures],
                [links[p] for p in wanted],
                last_part,
                rolls,
                options,
            )
        )
    return engraving


def write_svg(score: Score, options: SheetOptions = _PLAIN) -> list[bytes]:
    """The score as SVG, one file for each page.

    A tune that runs a little over one page is engraved again somewhat smaller, so that it makes
    one handout.
    """
    engraving = engraved(score, options)
    plan = plan_sheet(score, engraving, options)
    scale = scale_for_one_page(plan, options)
    if scale is not None:
        smaller = replace(options, scale=scale)
        again = engraved(score, smaller)
        second = plan_sheet(score, again, smaller)
        if len(second.pages) == 1:
            return lay_out(score, again, smaller, second)
    return lay_out(score, engraving, options, plan)
