"""How a MusicXML file is taken, where there is a choice."""

from __future__ import annotations

from msgspec import Struct

from rollstave.score.records import Score

LEADS = ("staff", "tab", "newer")


class Taking(Struct, frozen=True):
    """``octave`` moves all notes by so many octaves. ``lead`` says what counts where staff and tab
    disagree: ``staff``, ``tab``, or ``newer``, whichever was changed since. ``since`` is the score
    that the file was made from, if that is known: what comes back as it was keeps its fingering.
    Where it is one of several tunes, ``among`` has them all, and the nearest is taken.
    """

    octave: int = 0
    lead: str = ""
    since: Score | None = None
    among: tuple[Score, ...] = ()


AS_IT_IS = Taking()
