"""SVG pages of a score: engrave, mark, lay out."""

from __future__ import annotations

from msgspec.structs import replace

from rollstave.deciding.rolls import first_uses
from rollstave.deciding.shape_row import shape_changes
from rollstave.notating.layout import system_starts
from rollstave.notating.notation import notate
from rollstave.score.excerpt import excerpt
from rollstave.score.links import links_of
from rollstave.score.records import Score
from rollstave.writing.options import SheetOptions
from rollstave.writing.others import OtherMarks, no_others
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.engraving import MUSIC_WIDTH, Engraving
from rollstave.writing.sheet.heights import likely_heights
from rollstave.writing.sheet.marks import draw_marks
from rollstave.writing.sheet.pages import Plan, frame_of, lay_out, music_width, plan_sheet
from rollstave.writing.sheet.scales import fits_well, likely_scale, scales_for_fewer_pages
from rollstave.writing.sheet.short import engrave_systems

_PLAIN = SheetOptions()
_TRIES = 2  # smaller engravings, before two pages are accepted


def engraved(
    score: Score, options: SheetOptions = _PLAIN, others: OtherMarks = no_others
) -> Engraving:
    """The score's systems with all their marks, those of ``others`` last, not yet on pages."""
    notated = notate(score)
    width = music_width(options)
    engraving = engrave_systems(score, notated, options, width, _room(width, options))
    links = links_of(score.measures)
    rolls = list(first_uses(score.measures)) if options.rolls else []
    shapes = shape_changes(score) if options.shapes_over_music else ()
    last_part = {(n.measure.index, s.event_index): s.part for n in notated for s in n.symbols}
    by_measure: dict[int, list[int]] = {}
    for position, pair in enumerate(links):
        for index in {pair.start.measure, pair.end.measure}:
            by_measure.setdefault(index, []).append(position)
    for system in engraving.systems:
        wanted = sorted({p for m in system.measures for p in by_measure.get(m, [])})
        draw_marks(
            MarkContext(
                score=score,
                system=system,
                notated=[notated[m] for m in system.measures],
                links=[links[p] for p in wanted],
                last_part=last_part,
                rolls=rolls,
                options=options,
                shapes=shapes,
            ),
            others,
        )
    return engraving


def _room(width: float, options: SheetOptions) -> float:
    """The width of a system as a share of the usual one. A sheet that was made smaller to save a
    page keeps its measures to a system."""
    return width * options.scale / MUSIC_WIDTH


def write_svg(
    score: Score, options: SheetOptions = _PLAIN, others: OtherMarks = no_others
) -> list[bytes]:
    """The score as SVG, one file for each page.

    A tune that runs a little over its last page is engraved again somewhat smaller, so that it
    makes one handout. ``others`` are marks drawn after our own.
    Raises ValueError if there are no such measures as ``options`` name.
    """
    if options.measures is not None:
        score = excerpt(score, *options.measures)
    if options.scale == 1.0 and not options.large and options.title_block:
        return _as_a_handout(score, options, others)
    engraving = engraved(score, options, others)
    plan = plan_sheet(score, engraving, options, frame_of(score, options))
    return lay_out(score, engraving, options, plan)


def _as_a_handout(score: Score, options: SheetOptions, others: OtherMarks) -> list[bytes]:
    """A sheet at the largest scale that saves a page, or at its own if none does.

    The first engraving is at a guessed scale; what it shows says whether another is better.
    """
    starts = system_starts(notate(score), _room(music_width(options), options))
    full = frame_of(score, options)
    scale = likely_scale(likely_heights(score, starts, options.view), full, options)
    tried: dict[float, tuple[SheetOptions, Engraving, Plan]] = {}

    def attempt(scale: float) -> tuple[SheetOptions, Engraving, Plan]:
        if scale not in tried:
            sized = replace(options, scale=scale)
            engraving = engraved(score, sized, others)
            frame = full if scale == options.scale else frame_of(score, sized)
            tried[scale] = (sized, engraving, plan_sheet(score, engraving, sized, frame))
        return tried[scale]

    sized, engraving, plan = attempt(scale)
    if scale < options.scale and fits_well(plan, sized):
        return lay_out(score, engraving, sized, plan)
    pages = len(plan.pages)
    last_resort = scale if pages == 1 else options.scale
    for better in scales_for_fewer_pages(plan, sized)[:_TRIES]:
        sized, engraving, plan = attempt(better)
        if len(plan.pages) < max(2, pages):
            return lay_out(score, engraving, sized, plan)
    sized, engraving, plan = attempt(last_resort)
    return lay_out(score, engraving, sized, plan)
