"""Short systems keep their natural width instead of being stretched to the end of the line.

Verovio has one width for all systems of an engraving, so a short system is engraved again on
narrower paper: alone where nothing reaches over its ends, with the whole tune where something does.
"""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.score.layout import system_shares
from rollstave.score.links import links_of
from rollstave.score.model import Score
from rollstave.score.notation import NotatedMeasure
from rollstave.writing.mei import build_mei
from rollstave.writing.options import SheetOptions
from rollstave.writing.sheet.engraving import Engraving, System, engrave


def keep_short(
    engraving: Engraving,
    score: Score,
    notated: Sequence[NotatedMeasure],
    options: SheetOptions,
    width: float,
    room: float,
) -> None:
    """Put systems that would be stretched at their natural width. ``width`` is that of a full
    system in units, ``room`` the same as a share of the usual one."""
    starts = [system.measures[0] for system in engraving.systems]
    shares = system_shares(notated, starts, room)
    for position, share in enumerate(shares):
        if share < 1:
            found = _again(engraving, position, score, notated, options, width * share, room)
            engraving.systems[position] = found


def _again(
    engraving: Engraving,
    position: int,
    score: Score,
    notated: Sequence[NotatedMeasure],
    options: SheetOptions,
    width: float,
    room: float,
) -> System:
    system = engraving.systems[position]
    alone = range(system.measures[0], system.measures[-1] + 1)
    is_alone = stands_alone(score, notated, alone)
    mei = build_mei(
        score,
        notated,
        view=options.view,
        for_engraving=True,
        room=room,
        tab_rests=options.tab_rests,
        only=alone if is_alone else None,
    )
    made = engrave(mei, options.view, width // 10 * 10)
    engraving.add_glyphs(made.glyphs)
    return made.systems[0 if is_alone else position]


def stands_alone(score: Score, notated: Sequence[NotatedMeasure], measures: range) -> bool:
    """Whether no tie, link, ending or word reaches over an end of these measures."""
    inside = [notated[i] for i in measures]
    first, last = inside[0].measure, inside[-1].measure
    after = notated[measures.stop].measure if measures.stop < len(notated) else None
    if first.ending is None and first.in_ending is not None:
        return False
    if after is not None and after.in_ending is not None and after.ending is None:
        return False
    if any(event.lyric for m in inside for event in m.measure.events):
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
