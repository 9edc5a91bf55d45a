"""What music21 says of how a note is played, as elements of MusicXML 4.0."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree as Xml

from music21 import articulations

from rollstave_music21.to_stream import HALF_FRET


def add(
    parent: Xml.Element, tag: str, words: object = None, /, **attributes: object
) -> Xml.Element:
    """Append an element; attributes that are None are left out."""
    given = {name: str(value) for name, value in attributes.items() if value is not None}
    made = Xml.SubElement(parent, tag, given)
    if words is not None:
        made.text = str(words)
    return made


def add_technical(technical: Xml.Element, mark: Any) -> None:
    """Append what a mark of a note is in MusicXML; nothing for a mark that tab has not."""
    if isinstance(mark, articulations.FrettedPluck):
        style = "italic" if mark.editorial.get("inferred") else None
        letter = str(mark.fingerNumber or mark.number).lower()
        add(technical, "pluck", letter, **({"font-style": style} if style else {}))
    elif isinstance(mark, articulations.FretBend):
        if mark.bendAlter is not None:
            add(add(technical, "bend"), "bend-alter", mark.bendAlter.semitones)
    elif isinstance(mark, articulations.StringHarmonic):
        add(add(technical, "harmonic"), "natural")
    elif isinstance(mark, articulations.FretTap):
        add(technical, "tap")
    elif isinstance(mark, articulations.Fingering):
        add(technical, "fingering", mark.fingerNumber)
    elif type(mark) is articulations.TechnicalIndication and mark.displayText == HALF_FRET:
        add(technical, "other-technical", HALF_FRET)


def number_of(marks: list[Any], kind: type) -> int | None:
    """The number of the first mark of exactly that class."""
    found = (mark for mark in marks if type(mark) is kind)
    return next((int(getattr(mark, "number", 0)) for mark in found), None)


def share_of(marks: list[Any], position: int) -> list[Any]:
    """What a chord's own list of marks means for one of its notes: of each kind, the one at the
    note's place in the chord, as music21's reader of MusicXML puts them."""
    by_kind: dict[type, list[Any]] = {}
    for mark in marks:
        by_kind.setdefault(type(mark), []).append(mark)
    return [group[position] for group in by_kind.values() if position < len(group)]
