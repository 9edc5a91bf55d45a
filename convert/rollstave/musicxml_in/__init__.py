"""MusicXML in: a file of this project or of a notation editor becomes a score.

``read_musicxml`` is the one way in. ``parse`` makes a tree of the bytes and ``document`` a score of
the tree; ``setups`` reads the tuning, ``measures`` and ``notes`` walk the measures, ``events`` puts
their notes together, ``fretting`` finds strings and frets where the file has none, ``detect`` knows
such a file.
"""

from __future__ import annotations

from rollstave.instruments.known import OWN, Known
from rollstave.problems import ProblemList
from rollstave.score.records import Score


def read_musicxml(data: bytes, problems: ProblemList, known: Known = OWN) -> Score:
    """The score of a MusicXML file; lxml is imported only when there is one."""
    from rollstave.musicxml_in.document import read_musicxml as read

    return read(data, problems, known=known)


__all__ = ["read_musicxml"]
