"""How a note is played, as elements of MusicXML 4.0: the table of techniques says which."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lxml import etree
from msgspec import Struct

from rollstave.grid.typed import Link
from rollstave.score.records import Event, Note
from rollstave.vocabulary.signs import LINKS
from rollstave.vocabulary.technique import MusicXMLElement, Technique
from rollstave.vocabulary.techniques import TECHNIQUES
from rollstave.writing.xml import add

_HEAD = "notehead"
# Links that are open at once have different numbers, of 1 to 16 (MusicXML 4.0, number-level): one
# over a bar line is open on the staff while that of the tab begins.
_LEVELS = 8
_OF_EVENTS = tuple(row for row in TECHNIQUES if row.event and row.elements)


class Leading(Struct, frozen=True):
    """The links of a note: ``reached`` is how it is reached, from whatever; ``ends`` and
    ``starts`` are the links that end and begin at it."""

    reached: Link | None = None
    ends: Link | None = None
    starts: Link | None = None


ALONE = Leading()


class Said(Struct, frozen=True):
    """An element to write: its type and number, and the value of its child."""

    element: MusicXMLElement
    type: str | None = None
    number: int | None = None
    value: object = None


def of_links(leading: Leading, string: int, tab: bool) -> Iterator[Said]:
    """The elements of the links that end and begin at a note of a string, on one of the staves."""
    number = (string - 1) % _LEVELS + 1 + (_LEVELS if tab else 0)
    if leading.reached is not None:
        for element in LINKS[leading.reached].elements:
            if element.on == "end" and element.use != "read":
                yield Said(element)
    for link, kind in ((leading.ends, "stop"), (leading.starts, "start")):
        for element in LINKS[link].elements if link is not None else ():
            if element.on == "both" and element.use != "read":
                yield Said(element, kind, number)


def of_note(note: Note, rows: Sequence[Technique]) -> list[Said]:
    """The elements of a note's marks, but for its head."""
    found = []
    for row in rows:
        value = getattr(note, row.field)
        for element in row.elements:
            if element.path != _HEAD and element.use != "read":
                found += [Said(element, kind, value=value) for kind in element.types or (None,)]
    return found


def of_event(event: Event, chord: bool = False) -> list[Said]:
    """The elements of what an event is struck with; each of its notes has them, but what is
    technical of a chord only the first."""
    found = []
    for row in _OF_EVENTS:
        if getattr(event, row.event):
            found += [
                Said(element)
                for element in row.elements
                if not (chord and element.path.startswith("technical/"))
            ]
    return found


def add_said(parent: etree._Element, said: Said) -> None:
    """Append an element to ``notations``, or to the group there that it belongs to."""
    element = said.element
    words = element.text if said.type != "stop" else ""
    attributes: dict[str, object] = {"type": said.type, "number": said.number}
    attributes |= {name.replace("-", "_"): value for name, value in element.attributes}
    made = add(parent, element.path.rpartition("/")[2], words or None, **attributes)
    if element.child:
        # True is the value of what a note has or has not.
        number = said.value if isinstance(said.value, int) and said.value is not True else None
        add(made, element.child, number)


def add_group(notations: etree._Element, name: str, said: list[Said]) -> None:
    """Append the elements of one group: ``ornaments``, ``articulations``, or none of its own."""
    found = [one for one in said if one.element.path.partition("/")[0] == name]
    if not found:
        return
    grouped = any("/" in one.element.path for one in found)
    parent = add(notations, name) if grouped else notations
    for one in found:
        add_said(parent, one)


def add_head(element: etree._Element, rows: Sequence[Technique]) -> None:
    """Append the head of a note, if it is no common one; of two shapes, the later row's."""
    shape = ""
    attributes: dict[str, object] = {}
    for row in rows:
        for one in row.elements:
            if one.path == _HEAD:
                shape = one.text or shape
                attributes |= dict(one.attributes)
    if shape or attributes:
        add(element, _HEAD, shape or "normal", **attributes)
