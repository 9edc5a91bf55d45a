"""SVG pages of a score: engrave, mark, lay out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rollstave.score.excerpt import excerpt
from rollstave.score.layout import system_shares
from rollstave.score.links import links_of
from rollstave.score.model import Score
from rollstave.score.notation import NotatedMeasure, notate
from rollstave.score.rolls import first_uses
from rollstave.score.shape_row import shape_row
from rollstave.writing.mei import build_mei
from rollstave.writing.options import SheetOptions
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.engraving import MUSIC_WIDTH, Engraving, engrave
from rollstave.writing.sheet.marks import draw_marks
from rollstave.writing.sheet.pages import (
    lay_out,
    music_width,
    plan_sheet,
    scales_for_fewer_pages,
)

_PLAIN = SheetOptions()
_TRIES = 2  # smaller engravings, before two pages are accepted


def engraved(score: Score, options: SheetOptions = _PLAIN) -> Engraving:
    """The score's systems with all their marks, not yet on pages."""
    notated = notate(score)
    width = music_width(options)
    mei = build_mei(
        score,
        notated,
        view=options.view,
        for_engraving=True,
        room=_room(width, options),
        tab_rests=options.tab_rests,
    )
    engraving = engrave(mei, options.view, width)
    _keep_short(engraving, mei, notated, options, width)
    links = links_of(score.measures)
    rolls = list(first_uses(score.measures)) if options.rolls else []
    shapes = shape_row(score) if options.shapes_over_music else ()
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
                shapes=shapes,
            )
        )
    return engraving


def _room(width: float, options: SheetOptions) -> float:
    """The width of a system as a share of the usual one. A sheet that was made smaller to save a
    page keeps its measures to a system."""
    return width * options.scale / MUSIC_WIDTH


def _keep_short(
    engraving: Engraving,
    mei: bytes,
    notated: Sequence[NotatedMeasure],
    options: SheetOptions,
    width: float,
) -> None:
    """Put systems that would be stretched at their natural width, by engraving them again on
    narrower paper; Verovio has one width for all systems."""
    starts = [system.measures[0] for system in engraving.systems]
    shares = system_shares(notated, starts, _room(width, options))
    for share in sorted({round(s, 1) for s in shares if s < 1}):
        again = engrave(mei, options.view, width * share)
        for position, wanted in enumerate(shares):
            if wanted < 1 and round(wanted, 1) == share:
                engraving.systems[position] = again.systems[position]
        engraving.add_glyphs(again.glyphs)


def write_svg(score: Score, options: SheetOptions = _PLAIN) -> list[bytes]:
    """The score as SVG, one file for each page.

    A tune that runs a little over its last page is engraved again somewhat smaller, so that it
    makes one handout. Raises ValueError if there are no such measures as ``options`` name.
    """
    if options.measures is not None:
        score = excerpt(score, *options.measures)
    engraving = engraved(score, options)
    plan = plan_sheet(score, engraving, options)
    for scale in scales_for_fewer_pages(plan, options)[:_TRIES]:
        smaller = replace(options, scale=scale)
        again = engraved(score, smaller)
        second = plan_sheet(score, again, smaller)
        if len(second.pages) < len(plan.pages):
            return lay_out(score, again, smaller, second)
    return lay_out(score, engraving, options, plan)
