"""Hammer-ons that do not rise and pull-offs that do not fall."""

from __future__ import annotations

from collections.abc import Iterator

from rollstave.api import Tune
from rollstave.grid.typed import Link
from rollstave.proofreading.correction import Correction
from rollstave.score.links import links_of, note_at
from rollstave.vocabulary import problems as kinds

# The link, the way it must go (common practice), and its counterpart.
_WAYS = {
    Link.HAMMER_ON: (1, "hammer-on", "rise", "p"),
    Link.PULL_OFF: (-1, "pull-off", "fall", "h"),
}


def wrong_links(tune: Tune) -> Iterator[Correction]:
    measures = tune.score.measures
    for pair in links_of(measures):
        if pair.kind not in _WAYS:
            continue
        way, name, verb, other = _WAYS[pair.kind]
        start, end = note_at(measures, pair.start), note_at(measures, pair.end)
        if start.fret is None or end.fret is None or (end.fret - start.fret) * way > 0:
            continue
        mend = f"{start.fret}{other}{end.fret}" if start.fret != end.fret else ""
        yield Correction(
            kind=kinds.LINK,
            place=end.place,
            message=f"this {name} does not {verb}: it goes from fret {start.fret} to fret "
            f"{end.fret} on string {end.string}",
            mend=mend,
        )
