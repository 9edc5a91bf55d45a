"""How a note is played, between music21 and MusicXML 4.0.

What a technique is in MusicXML says rollstave's table; which class music21 has for an element say
music21's own tables. What music21 has no class for is a mark with the technique's name as its text.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from xml.etree import ElementTree as Xml

from music21 import articulations, interval, spanner, tie
from music21.musicxml.xmlObjects import ARTICULATION_MARKS, TECHNICAL_MARKS

import rollstave

HALF_FRET = "half fret"
HAND = "rollstave fingers"
_PLUCKING = {"T", "P", "I", "M", "A", "C"}
# The links that are spanners in music21, by their elements.
SPANNERS = {
    "technical/hammer-on": articulations.HammerOn,
    "technical/pull-off": articulations.PullOff,
    "slide": spanner.Glissando,
}
_GROUPS = {"technical": TECHNICAL_MARKS, "articulations": ARTICULATION_MARKS}
_HEAD, _TIED = "notehead", "tied"
_TECHNICAL = "technical/"


def _is_mark(element: rollstave.MusicXMLElement, row: rollstave.Technique) -> bool:
    """True for what stands at a note; what else is said of all that is struck is an expression."""
    return not row.event or element.path.startswith(_TECHNICAL)


# How a note itself is marked: the elements that are written and read, with their techniques.
_MARKS = tuple(
    (element, row)
    for row in rollstave.TECHNIQUES
    for element in row.elements
    if element.on != "both" and not element.use and _is_mark(element, row)
)


def hand_of(notes: Sequence[rollstave.Note]) -> Any:
    """The fingers of a note or a chord as a mark of words, None where nobody typed any: music21
    writes no letter of a plucking finger, and no finger of the notes in a chord."""
    said = [
        f"{one.string}:{finger}"
        for one in notes
        for finger in (
            one.finger.value if one.finger and not one.inferred_finger else None,
            one.left_finger,
        )
        if finger is not None
    ]
    if not said:
        return None
    mark = articulations.TechnicalIndication()
    mark.displayText = f"{HAND} {' '.join(said)}"
    return mark


def fingers_of(marks: Sequence[Any], string: int | None) -> tuple[str, str]:
    """The letter of the plucking finger and the number of the left one that such a mark says for
    a string; empty where it says none."""
    letter = number = ""
    for mark in marks:
        words = getattr(mark, "displayText", None) or ""
        for said in words.removeprefix(HAND).split() if words.startswith(HAND) else ():
            at, _, finger = said.partition(":")
            if at == str(string):
                letter, number = (letter, finger) if finger.isdecimal() else (finger, number)
    return letter, number


def link_row(link: rollstave.Link) -> rollstave.Technique:
    """The technique of a link."""
    return next(row for row in rollstave.TECHNIQUES if row.value is link)


def spanner_of(row: rollstave.Technique) -> type | None:
    """The spanner of a link in music21, if it has one."""
    return next((SPANNERS[e.path] for e in row.elements if e.path in SPANNERS), None)


def mark_note(made: Any, typed: rollstave.Note) -> None:
    """Give a note of music21 what the note of a score has."""
    rows = [*rollstave.techniques_of(typed)]
    rows += [link_row(typed.link)] if typed.link else []
    for row in rows:
        for element, its_row in _MARKS:
            if its_row is row:
                _mark(made, element, row, getattr(typed, row.field))


def mark_event(made: Any, event: rollstave.Event) -> None:
    """Give a note or a chord of music21 which way it is struck."""
    for element, row in _MARKS:
        if row.event and getattr(event, row.event):
            _mark(made, element, row, True)


def _mark(
    made: Any, element: rollstave.MusicXMLElement, row: rollstave.Technique, value: Any
) -> None:
    if element.path == _HEAD:
        made.notehead = element.text or made.notehead
        made.noteheadParenthesis = bool(element.attributes) or made.noteheadParenthesis
    elif element.path == _TIED:
        made.tie = tie.Tie(element.types[0])
    else:
        kind = _class_of(element)
        mark = kind() if kind else articulations.TechnicalIndication()
        if kind is articulations.FretBend:
            mark.bendAlter = interval.ChromaticInterval(value)
        elif not kind:
            mark.displayText = row.name
        made.articulations.append(mark)


def _class_of(element: rollstave.MusicXMLElement) -> type | None:
    """music21's class for an element; None where it has none, or one for many things."""
    group, _, tag = element.path.partition("/")
    return None if tag.startswith("other-") else _GROUPS.get(group, {}).get(tag)


class Notations:
    """The notations of one note, in groups as MusicXML has them."""

    def __init__(self) -> None:
        self.root = Xml.Element("notations")
        self._groups: dict[str, Xml.Element] = {}

    def add(self, path: str, words: object = None, /, **attributes: object) -> Xml.Element:
        """Append an element below ``notations``: ``tied``, ``technical/tap``."""
        group, _, tag = path.rpartition("/")
        parent = self.root
        if group:
            if group not in self._groups:
                self._groups[group] = add(self.root, group)
            parent = self._groups[group]
        return add(parent, tag, words, **attributes)

    def add_marks(self, marks: list[Any], made: Any) -> None:
        """Append what marks of music21 are, and what the note of music21 itself says."""
        for mark in marks:
            self._add_mark(mark)
        for element, _ in _MARKS:
            if element.path == _TIED and made.tie and made.tie.type == element.types[0]:
                self.add(_TIED, type=element.types[0])

    def add_fingers(self, letter: str, number: str) -> None:
        """Append fingers that no mark has said."""
        for path, finger in (("technical/pluck", letter.lower()), ("technical/fingering", number)):
            if finger and self.root.find(path) is None:
                self.add(path, finger)

    def _add_mark(self, mark: Any) -> None:
        if isinstance(mark, articulations.FrettedPluck):
            style = "italic" if mark.editorial.get("inferred") else None
            letter = str(mark.fingerNumber or mark.number or "").lower()
            if letter:
                self.add("technical/pluck", letter, **({"font-style": style} if style else {}))
            return
        if isinstance(mark, articulations.Fingering):
            # music21 writes a plucking finger as one of the left hand, by its letter.
            finger = str(mark.fingerNumber)
            path = "technical/pluck" if finger.upper() in _PLUCKING else "technical/fingering"
            self.add(path, finger.lower())
            return
        words = getattr(mark, "displayText", None)
        if type(mark) is articulations.TechnicalIndication and words == HALF_FRET:
            self.add("technical/other-technical", HALF_FRET)
            return
        for element, row in _MARKS:
            kind = _class_of(element)
            if element.path in (_HEAD, _TIED):
                continue
            if type(mark) is kind or (kind is None and words == row.name):
                self._add_element(element, mark)

    def _add_element(self, element: rollstave.MusicXMLElement, mark: Any) -> None:
        number: Any = None
        if isinstance(mark, articulations.FretBend):
            if mark.bendAlter is None:
                return
            number = mark.bendAlter.semitones
        for kind in element.types[:1] or (None,):
            made = self.add(element.path, element.text or None, type=kind)
            if element.child:
                add(made, element.child, number)


def add_head(heard: Xml.Element, one: Any) -> None:
    """Append the head of a note, if it is one that the table has."""
    for element, _ in _MARKS:
        if element.path == _HEAD and element.text and one.notehead == element.text:
            add(heard, _HEAD, one.notehead, parentheses=_round(one))
            return
    if one.noteheadParenthesis:
        add(heard, _HEAD, "normal", parentheses=_round(one))


def _round(one: Any) -> str | None:
    return "yes" if one.noteheadParenthesis else None


def add(
    parent: Xml.Element, tag: str, words: object = None, /, **attributes: object
) -> Xml.Element:
    """Append an element; attributes that are None are left out."""
    given = {name: str(value) for name, value in attributes.items() if value is not None}
    made = Xml.SubElement(parent, tag, given)
    if words is not None:
        made.text = str(words)
    return made


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
