"""Hammer-ons that do not rise, pull-offs that do not fall, and slides from an open string."""

from __future__ import annotations

from collections.abc import Iterator

from rollstave.api import Tune
from rollstave.grid.typed import Link
from rollstave.proofreading.correction import Correction
from rollstave.score.links import links_of, note_at
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.signs import BY_NAME, COMMON, LINKS


def wrong_links(tune: Tune) -> Iterator[Correction]:
    measures = tune.score.measures
    for pair in links_of(measures):
        row = LINKS[pair.kind]
        start, end = note_at(measures, pair.start), note_at(measures, pair.end)
        if pair.kind is Link.SLIDE and start.fret == 0 and end.fret:
            yield Correction(
                kind=kinds.LINK,
                place=end.place,
                message=f"this slide begins on the open string {end.string}, where no finger is "
                f"that could slide to fret {end.fret}",
                mend=f"0{COMMON.spelling(BY_NAME['hammer-on'])}{end.fret}",
            )
        if not row.way:
            continue
        if start.fret is None or end.fret is None or (end.fret - start.fret) * row.way > 0:
            continue
        other = COMMON.spelling(BY_NAME[row.other])
        verb = "rise" if row.way > 0 else "fall"
        mend = f"{start.fret}{other}{end.fret}" if start.fret != end.fret else ""
        yield Correction(
            kind=kinds.LINK,
            place=end.place,
            message=f"this {row.name} does not {verb}: it goes from fret {start.fret} to fret "
            f"{end.fret} on string {end.string}",
            mend=mend,
        )
