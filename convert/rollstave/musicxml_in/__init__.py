"""MusicXML in: a file of this project or of a notation editor becomes a score.

``read_musicxml`` is the one way in. ``parse`` makes a tree of the bytes and ``document`` a score of
the tree; ``setups`` reads the tuning, ``strings`` finds it where none is declared, ``measures`` and
``notes`` walk the measures, ``harmony`` reads chord names, ``events`` puts notes together,
``searching`` and ``fretting`` find strings and frets where the file has none, ``staves`` compares
staff and tab, ``coming_back`` with the tab before, ``leaving`` names what no score holds,
``detect`` knows such a file.
"""

from __future__ import annotations

from rollstave.instruments.known import OWN, Known
from rollstave.musicxml_in.taking import AS_IT_IS, Taking
from rollstave.problems import ProblemList
from rollstave.score.finding import Finding
from rollstave.score.records import Score


def read_musicxml(
    data: bytes, problems: ProblemList, known: Known = OWN, taking: Taking = AS_IT_IS
) -> tuple[Score, Finding]:
    """The score of a MusicXML file, and how its tuning is known; lxml is imported only when there
    is one."""
    from rollstave.musicxml_in.document import read_musicxml as read

    return read(data, problems, known=known, taking=taking)


__all__ = ["AS_IT_IS", "Taking", "read_musicxml"]
