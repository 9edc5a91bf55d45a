"""What a row of the table of techniques says."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

MARKS = "marks"  # the field of a note for techniques that have no field of their own


class MusicXMLElement(Struct, frozen=True):
    """An element of MusicXML 4.0 for a technique. ``path`` is that below ``notations``, as
    ``technical/tap``; ``notehead`` stands beside them.

    ``types`` are the values of its attribute ``type``, one element each. An element of a link is
    ``on`` the note that it leads to (``end``) or on both, where it has the types start and stop
    and the string for a number. ``text`` is what stands in it, at a link's start; ``child`` an
    element in it, which holds the value of the technique if that is a number. ``use`` is empty
    for what is written and read.
    """

    path: str
    on: Literal["note", "end", "both"] = "note"
    types: tuple[str, ...] = ()
    attributes: tuple[tuple[str, str], ...] = ()
    text: str = ""
    child: str = ""
    use: Literal["", "written", "read"] = ""


class Technique(Struct, frozen=True):
    """A technique: how it is typed, kept, written elsewhere, drawn and said.

    A ``link`` leads from the note before on the string to a note, a ``mark`` is on one note, an
    ``edge`` is a slide from or to nowhere, ``grace`` is a note of its own, a ``rest`` sign has no
    effect, since the rows themselves say where nothing is struck, and a ``fret`` is a sign in
    place of a number.

    Kept: ``field`` of a stroke and its note is set to ``value``; where that is ``marks``, the name
    is added to it. ``event`` is the field of the event, for what is kept for all that is struck at
    once.

    Typed: ``signs`` are its spellings, the first is written; a link's stands between the frets,
    and its characters push the second; a mark's after its fret, or with ``early`` also before.
    ``around`` are brackets that say it, ``instead`` a letter in place of the fret, ``star`` a sign
    that is also one of another technique's brackets. ``brackets`` says that a legend may give
    round brackets this meaning. ``examples`` are typed cells, ``says`` their meaning in words.

    A link's note is ``picked`` anew or not, ``held`` if nothing sounds anew, and may come
    ``from_nowhere``: the first of its string. ``way`` is 1 if it must rise, -1 if it must fall;
    ``other`` is then the one that goes the other way. ``leads`` says that a grace note may lead on
    by it.

    Engraved: ``elements`` of MusicXML; ``joins`` the element of MEI between two notes; ``head`` an
    attribute of an MEI note and its value.

    Drawn: ``shown`` is how the digit is set, ``{}`` in place of the fret; ``drawing`` the name of a
    drawing; ``letter`` what stands over the digit or the arc. In the key, ``key`` are the words and
    ``sample`` what stands before them: a text, the letter or a drawing; ``rank`` orders the key,
    and ``key_of`` names the row that explains this one too. ``played`` is the name that the page's
    player has for it.

    ``legend`` is a pattern of the words that mean it in a typist's legend.
    """

    name: str
    what: Literal["link", "mark", "edge", "grace", "rest", "fret"]
    says: str
    examples: tuple[str, ...] = ()
    field: str = MARKS
    value: object = True
    event: str = ""
    signs: tuple[str, ...] = ()
    early: bool = False
    around: tuple[str, ...] = ()
    instead: str = ""
    star: str = ""
    brackets: bool = False
    picked: bool = True
    held: bool = False
    from_nowhere: bool = False
    way: int = 0
    other: str = ""
    leads: bool = False
    elements: tuple[MusicXMLElement, ...] = ()
    joins: str = ""
    head: tuple[str, str] | None = None
    shown: str = ""
    drawing: str = ""
    letter: str = ""
    key: str = ""
    sample: str = ""
    key_of: str = ""
    rank: int = 100
    played: str = ""
    legend: str = ""
