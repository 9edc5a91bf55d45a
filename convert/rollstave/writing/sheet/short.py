"""Short systems keep their natural width instead of being stretched to the end of the line.

Verovio has one width for all systems of an engraving, so a short system is engraved on narrower
paper: alone where nothing reaches over its ends, with the others, once more, where something does.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from rollstave.notating.layout import fuller_of, system_shares, system_starts
from rollstave.notating.notation import NotatedMeasure
from rollstave.notating.spreading import factor_of
from rollstave.score.links import links_of
from rollstave.score.records import Score
from rollstave.writing.mei import build_mei
from rollstave.writing.mei_under import under_of
from rollstave.writing.options import SheetOptions, View
from rollstave.writing.sheet.bends import marks_over
from rollstave.writing.sheet.engraver import engrave
from rollstave.writing.sheet.engraving import MUSIC_WIDTH, Engraving

_USUAL_ZOOM = 1.05  # a little more than that of the usual staff
# The head, the foot and the margins of a page, and a system with the room under it, in units: about
# what they are in most tunes.
_AROUND, _BOTH, _ONE_STAFF = 8_000.0, 5_000.0, 3_300.0
_STEPS = 25  # of a line's width, that natural systems end at
_HALF, _PAST_HALF = 0.48, 0.54  # what is so much past half a line is drawn in to half


def engrave_systems(
    score: Score,
    notated: Sequence[NotatedMeasure],
    options: SheetOptions,
    width: float,
    natural: bool = False,
    full: Sequence[range] = (),
) -> Engraving:
    """Engrave a tune, each system at its own width. ``width`` is that of a full system in units;
    of ``natural`` systems each with less in it is shorter, except in the measures of ``full``,
    which are set like a tune by themselves. Raises ValueError if Verovio refuses the music."""

    room = width / MUSIC_WIDTH
    under = under_of(score) if options.view.has_tab else None
    fuller = fuller_of(notated, under.notated) if under is not None else notated
    held = 0 if natural or under else _on_one_page(options)
    starts = system_starts(fuller, room, options.as_typed, held)
    over = marks_over(score) if options.view is View.BOTH else {}

    def made(share: float, lines: Sequence[range], only: frozenset[int] | None = None) -> Engraving:
        mei = build_mei(
            score,
            notated,
            view=options.view,
            for_engraving=True,
            starts=starts,
            tab_rests=options.tab_rests,
            only=only,
            under=under,
        )
        narrow = width if share == 1 else width * share // 10 * 10
        spread = factor_of([fuller[line.start : line.stop] for line in lines], narrow)
        return engrave(mei, options.view, narrow, over, under is not None, spread)

    spans = [range(a, b) for a, b in zip(starts, (*starts[1:], len(notated)), strict=True)]
    shares = _shares(fuller, starts, room, natural, full)
    short = {span: share for span, share in zip(spans, shares, strict=True) if share < 1}
    alone = {
        span
        for span in short
        if stands_alone(score, notated, span)
        and (under is None or stands_alone(under.score, under.notated, span))
    }
    apart = frozenset(index for span in alone for index in span)
    rest = frozenset(range(len(notated))) - apart
    long = [span for span in spans if span not in short]
    whole = made(1, long, rest if apart else None) if rest else Engraving([], [])
    systems = {system.measures[0]: system for system in whole.systems}
    groups: dict[tuple[float, bool, int], list[range]] = {}
    for span, share in short.items():
        # Natural ones of one width are engraved together.
        key = (share, span in alone, 0 if natural else span.start)
        groups.setdefault(key, []).append(span)
    for (share, by_itself, _), same in groups.items():
        inside = frozenset(index for span in same for index in span)
        narrow = made(share, same, inside if by_itself else rest if apart else None)
        whole.add_glyphs(narrow.glyphs)
        begins = {span.start for span in same}
        systems |= {s.measures[0]: s for s in narrow.systems if s.measures[0] in begins}
    return Engraving([systems[start] for start in sorted(systems)], whole.glyphs)


def _on_one_page(options: SheetOptions) -> int:
    """How many systems the only page of a tune holds, about; 0 where that is not asked: a figure
    has no pages, and large staves keep their phrases whole."""
    if not options.title_block or options.zoom > _USUAL_ZOOM:
        return 0
    height = _BOTH if options.view is View.BOTH else _ONE_STAFF
    return int((options.paper.height / options.zoom - _AROUND) / height)


def _shares(
    measures: Sequence[NotatedMeasure],
    starts: Sequence[int],
    room: float,
    natural: bool,
    full: Sequence[range],
) -> list[float]:
    """What share of the line each system fills; those in ``full`` as in a tune by themselves."""
    found = system_shares(measures, starts, room, natural)
    shares = [_stepped(share) if natural else share for share in found]
    for span in full:
        inside = [place for place, start in enumerate(starts) if start in span]
        own = [starts[place] - span.start for place in inside]
        alone = system_shares(measures[span.start : span.stop], own, room)
        for place, share in zip(inside, alone, strict=True):
            shares[place] = _stepped(share)
    return shares


def _stepped(share: float) -> float:
    """A share a little larger, so that many systems have one width and are engraved together; a
    little smaller where another then has room beside it."""
    if _HALF < share <= _PAST_HALF:
        return _HALF
    return min(1.0, math.ceil(share * _STEPS) / _STEPS)


def stands_alone(score: Score, notated: Sequence[NotatedMeasure], measures: range) -> bool:
    """True if no tie, link, ending or word reaches over an end of these measures, and nothing
    changes in them or right after."""
    inside = [notated[i] for i in measures]
    first, last = inside[0].measure, inside[-1].measure
    after = notated[measures.stop].measure if measures.stop < len(notated) else None
    if first.ending is None and first.in_ending is not None:
        return False
    if after is not None and after.in_ending is not None and after.ending is None:
        return False
    if any(m.measure.change for m in (*inside, *notated[measures.stop : measures.stop + 1])):
        return False
    if any(event.sung for m in inside for event in m.measure.events):
        return False
    ties = [h.tie_from for s in inside[0].symbols[:1] for h in s.heads]
    ties += [h.tie_to for s in inside[-1].symbols[-1:] for h in s.heads]
    near = score.measures[max(0, first.index - 1) : last.index + 2]
    across = [
        pair
        for pair in links_of(near)
        if (pair.start.measure in measures) != (pair.end.measure in measures)
    ]
    return not any(ties) and not across
