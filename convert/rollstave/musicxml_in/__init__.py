"""MusicXML in: a file of this project or of a notation editor becomes a score.

``read_musicxml`` is the one way in. ``parse`` makes a tree of the bytes and ``document`` a score of
the tree; ``setups`` reads the tuning, ``strings`` finds it where none is declared, ``measures`` and
``notes`` walk the measures, ``harmony`` reads chord names, ``events`` puts notes together,
``fretting`` finds strings and frets where the file has none, ``detect`` knows such a file.
"""

from __future__ import annotations

from rollstave.instruments.known import OWN, Known
from rollstave.problems import ProblemList
from rollstave.score.finding import Finding
from rollstave.score.records import Score


def read_musicxml(data: bytes, problems: ProblemList, known: Known = OWN) -> tuple[Score, Finding]:
    """The score of a MusicXML file, and how its tuning is known; lxml is imported only when there
    is one."""
    from rollstave.musicxml_in.document import read_musicxml as read

    return read(data, problems, known=known)


__all__ = ["read_musicxml"]
