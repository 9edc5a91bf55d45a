"""SVG pages of a score: engrave, mark, lay out."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.deciding.rolls import first_uses
from rollstave.deciding.shape_row import shape_changes
from rollstave.notating.notation import last_parts, notate
from rollstave.score.excerpt import excerpt
from rollstave.score.links import links_of
from rollstave.score.records import OtherVersion, Score
from rollstave.writing.options import SheetOptions, View
from rollstave.writing.others import OtherMarks, no_others
from rollstave.writing.sheet.beside import plain_under, set_under, shorter
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.engraving import Engraving, System
from rollstave.writing.sheet.marks import draw_marks
from rollstave.writing.sheet.pages import frame_of, lay_out, music_width, plan_sheet
from rollstave.writing.sheet.short import engrave_systems

_PLAIN = SheetOptions()


def engraved(
    score: Score,
    options: SheetOptions = _PLAIN,
    others: OtherMarks = no_others,
    natural: bool = False,
    full: Sequence[range] = (),
) -> Engraving:
    """The score's systems with all their marks, those of ``others`` last, not yet on pages. Where
    they are ``natural``, each ends where it would end if all were as full as systems usually are,
    except in the measures of ``full``, which are set like a tune by themselves.
    """
    width = music_width(options)
    engraving = engrave_systems(score, notate(score), options, width, natural, full)
    _mark(score, engraving.systems, options, others)
    if score.beside is not None:
        _mark_beside(score, score.beside, engraving.systems, options, others)
        for system in engraving.systems:
            set_under(system)
    return engraving


def _mark_beside(
    over: Score,
    beside: OtherVersion,
    systems: Sequence[System],
    options: SheetOptions,
    others: OtherMarks,
) -> None:
    """Draw the marks of the other version; what stands over the tune is not said twice."""
    score = plain_under(beside.score, over)
    lower = [system.under for system in systems if system.under is not None]
    _mark(score, lower, replace(options, view=View.TAB, rolls=False), others, beside.says)


def _mark(
    score: Score,
    systems: Sequence[System],
    options: SheetOptions,
    others: OtherMarks,
    label: str = "",
) -> None:
    notated = notate(score)
    links = links_of(score.measures)
    rolls = list(first_uses(score.measures)) if options.rolls else []
    shapes = shape_changes(score) if options.shapes_over_music else ()
    last_part = last_parts(notated)
    by_measure: dict[int, list[int]] = {}
    for position, pair in enumerate(links):
        for index in {pair.start.measure, pair.end.measure}:
            by_measure.setdefault(index, []).append(position)
    for system in systems:
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
                label=label if system is systems[0] else shorter(label),
            ),
            others,
        )


def write_svg(
    score: Score, options: SheetOptions = _PLAIN, others: OtherMarks = no_others
) -> list[bytes]:
    """The score as SVG, one file for each page. ``others`` are marks drawn after our own.

    Raises ValueError if there are no such measures as ``options`` name.
    """
    if options.measures is not None:
        score = excerpt(score, *options.measures)
    engraving = engraved(score, options, others)
    said = {measure for system in engraving.systems for measure in system.said}
    paced = any(system.paced for system in engraving.systems)
    plan = plan_sheet(score, engraving, options, frame_of(score, options, said, paced))
    return lay_out(score, engraving, options, plan)
