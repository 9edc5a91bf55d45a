"""Grace notes of a MusicXML file: kept before the event that they stand at.

One without string and fret is put near the note that it leads to: on its string if that has the
pitch, otherwise at the place nearest to its fret (our own rule of thumb).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from lxml import etree
from msgspec import Struct

from rollstave.grid.typed import Link
from rollstave.instruments.setup import Setup
from rollstave.musicxml_in.fretting import places_of
from rollstave.musicxml_in.notes import Heard, leads_of, read_note
from rollstave.problems import Place
from rollstave.score.records import GraceNote


class HeardGrace(Struct):
    """A grace note as the file has it, before what stands at ``onset``; ``chord`` if it is struck
    with the one before."""

    onset: Fraction
    heard: Heard
    leads: Link | None
    chord: bool


def read_grace(element: etree._Element, onset: Fraction) -> HeardGrace | None:
    """A grace note with a pitch."""
    heard = read_note(element, onset, Fraction(0))
    if heard is None:
        return None
    return HeardGrace(
        onset=onset, heard=heard, leads=leads_of(element), chord=element.find("chord") is not None
    )


def place_graces(
    graces: Sequence[HeardGrace], notes: Sequence[Heard], setup: Setup
) -> list[HeardGrace]:
    """Give the grace notes before an event a string and a fret; those that no string has, and the
    second of two that are struck at once on one string, are left out of what is returned."""
    found = []
    taken: set[int | None] = set()
    for grace in graces:
        heard = grace.heard
        if heard.string is None or heard.fret is None:
            places = places_of(heard.pitch.midi, setup)
            if not places:
                continue
            main = min(notes, key=lambda h: abs(h.pitch.midi - heard.pitch.midi))
            heard.string, heard.fret = min(
                places, key=lambda p: (p[0] != main.string, abs(p[1] - (main.fret or 0)), p)
            )
        taken = taken if grace.chord else set()
        if heard.string not in taken:
            found.append(grace)
        taken.add(heard.string)
    return found


def grace_groups(graces: Sequence[HeardGrace]) -> tuple[tuple[GraceNote, ...], ...]:
    """The grace notes before an event, those struck together in one group."""
    groups: list[list[GraceNote]] = []
    for grace in graces:
        if not (grace.chord and groups):
            groups.append([])
        h = grace.heard
        groups[-1].append(
            GraceNote(
                string=h.string or 1,
                fret=h.fret or 0,
                pitch=h.pitch,
                place=Place(h.line, 1),
                leads=grace.leads,
                half=h.half,
            )
        )
    return tuple(tuple(sorted(group, key=lambda n: n.string)) for group in groups)
