"""One note element: pitch, string and fret if it has them, and how it is played."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from fractions import Fraction

from lxml import etree
from msgspec import Struct, field
from msgspec.structs import replace

from rollstave.grid.typed import Link, SlideEdge
from rollstave.musicxml_in.numbers import line_of, step, whole
from rollstave.pitch import Pitch, spell
from rollstave.score.records import Finger
from rollstave.vocabulary.hands import FINGERS
from rollstave.vocabulary.signs import setting
from rollstave.vocabulary.technique import MusicXMLElement, Technique
from rollstave.vocabulary.techniques import TECHNIQUES

# Each element of the table that is read, and its technique.
_ELEMENTS = tuple(
    (element, row)
    for row in TECHNIQUES
    for element in row.elements
    if element.use != "written" and element.path != "notehead"
)
_HEADS = tuple(
    (element, row)
    for row in TECHNIQUES
    for element in row.elements
    if element.use != "written" and element.path == "notehead"
)
_MOST_VERSES = 40  # a number beyond is no verse
_FINGERS = {
    said: Finger(row.letter) for row in FINGERS for said in (row.letter.lower(), row.guitar)
}

_ELISION = "\u203f"  # where a file does not say by what syllables are joined

_HAND, _LEFT = "rollstave fingers", ("1", "2", "3", "4")

_FRACTION = re.compile(r"\.0*[1-9]")


class Heard(Struct):
    """A note as the file has it; ``string`` and ``fret`` are None where it has none. ``tied``
    is a note that a tie leads to, ``ties`` one that a tie leads from; ``line`` is where its element
    begins. ``places`` are string and fret of all notes of its chord, where it has those of several,
    ``fingers`` strings with the letter or number of a finger, as rollstave's plugin for music21
    says them in words.
    ``said_voice`` is the name of its voice, ``voice`` the number of that from 1, and ``lasts`` how
    long it is held where there are several.
    """

    onset: Fraction
    duration: Fraction
    pitch: Pitch
    string: int | None
    fret: int | None
    tied: bool = False
    ties: bool = False
    link: Link | None = None
    finger: Finger | None = None
    inferred_finger: bool = False
    muted: bool = False
    ghost: bool = False
    harmonic: bool = False
    bend: int | None = None
    vibrato: bool = False
    slide_from: SlideEdge | None = None
    slide_to: SlideEdge | None = None
    let_ring: bool = False
    brush: bool = False
    down_stroke: bool = False
    up_stroke: bool = False
    sung: dict[int, str] = field(default_factory=dict)
    left_finger: int | None = None
    half: bool = False
    line: int = 1
    marks: tuple[str, ...] = ()
    places: tuple[tuple[int, int], ...] = ()
    fingers: tuple[tuple[int, str], ...] = ()
    said_voice: str = ""
    voice: int = 1
    lasts: Fraction | None = None

    def take(self, row: Technique, value: object = None) -> None:
        """Give the note a technique; what the reader of a score knows by ties is left to those."""
        if row.event:
            setattr(self, row.event, True)
        elif not row.held:
            for name, changed in setting(row, self, value).items():
                setattr(self, name, changed)


def read_note(element: etree._Element, onset: Fraction, duration: Fraction) -> Heard | None:
    """A note with a pitch, or None for a rest."""
    pitch = element.find("pitch")
    if pitch is None:
        return None
    head = element.find("notehead")
    technical = element.find("notations/technical")
    found = Heard(
        onset=onset,
        duration=duration,
        pitch=_pitch(pitch),
        string=_number(technical, "string"),
        fret=_number(technical, "fret"),
        tied=any(t.get("type") == "stop" for t in element.findall("tie")),
        ties=any(t.get("type") == "start" for t in element.findall("tie")),
        sung=_sung(element),
        left_finger=_left_finger(technical),
        line=line_of(element),
        places=_places(technical),
    )
    if head is not None:
        for one, row in _HEADS:
            says = not one.text or head.text == one.text
            if says and all(head.get(name) == value for name, value in one.attributes):
                found.take(row)
    for notations in element.findall("notations"):
        _notations(found, notations)
        said = notations.findall("technical/other-technical")
        found.half = found.half or any(e.text == "half fret" for e in said)
        found.fingers += tuple(pair for e in said for pair in _said_fingers(e.text or ""))
    return found


def _pitch(element: etree._Element) -> Pitch:
    """A pitch as it is spelled; one of three or four accidentals as players read it."""
    octave, alter = whole(element, "octave", 4, 0, 9), whole(element, "alter", 0, -4, 4)
    plain = Pitch(step(element, "step"), 0, octave)
    return replace(plain, alter=alter) if abs(alter) <= 2 else spell(plain.midi + alter, 0)


def _said_fingers(words: str) -> Iterator[tuple[int, str]]:
    """Strings and their fingers in words of rollstave's plugin for music21: ``3:T 2:1``."""
    for said in words.removeprefix(_HAND).split() if words.startswith(_HAND) else ():
        string, _, finger = said.partition(":")
        if string.isdecimal() and (finger.lower() in _FINGERS or finger in _LEFT):
            yield int(string), finger


def take_fingers(note: Heard, fingers: Sequence[tuple[int, str]]) -> None:
    """Give a note the fingers that are said of its string, where it has none."""
    for string, finger in fingers:
        if string != note.string:
            continue
        if finger in _LEFT:
            note.left_finger = note.left_finger or int(finger)
        elif note.finger is None:
            note.finger = _FINGERS[finger.lower()]


def voice_of(element: etree._Element) -> str:
    """The name of the voice that a note or rest is in; empty where none is said."""
    return element.findtext("voice", "").strip()


def is_between(element: etree._Element) -> bool:
    """True for a note with a quarter tone, which lies between two frets."""
    return bool(_FRACTION.search(element.findtext("pitch/alter", "")))


def _number(technical: etree._Element | None, name: str) -> int | None:
    text = technical.findtext(name) if technical is not None else None
    return int(text) if text is not None and text.strip().isdecimal() else None


def _places(technical: etree._Element | None) -> tuple[tuple[int, int], ...]:
    """Several strings with their frets in one element; they are those of a chord."""
    if technical is None:
        return ()
    strings, frets = technical.findall("string"), technical.findall("fret")
    texts = [(s.text or "", f.text or "") for s, f in zip(strings, frets, strict=False)]
    places = tuple((int(s), int(f)) for s, f in texts if s.isdecimal() and f.isdecimal())
    return places if len(places) > 1 else ()


def _left_finger(technical: etree._Element | None) -> int | None:
    """The finger of the left hand (MusicXML 4.0 ``fingering``), if it is one of 1 to 4."""
    number = _number(technical, "fingering")
    return number if number is not None and 1 <= number <= 4 else None


def _notations(found: Heard, notations: etree._Element) -> None:
    for one, row in _ELEMENTS:
        for element in notations.findall(one.path):
            if _is_here(one, element, "stop"):
                value = _value(one, element)
                if value is None or value > 0:  # a bend by nothing, or before the note, is none
                    found.take(row, value)
    # Some programs write a plucking finger as one of the left hand, by its letter.
    for said in notations.iterfind("technical/fingering"):
        found.finger = _FINGERS.get((said.text or "").strip().lower(), found.finger)
    pluck = notations.find("technical/pluck")
    if pluck is not None and (pluck.text or "").strip().lower() in _FINGERS:
        found.finger = _FINGERS[(pluck.text or "").strip().lower()]
        found.inferred_finger = pluck.get("font-style") == "italic"


def _is_here(one: MusicXMLElement, element: etree._Element, end: str) -> bool:
    """Whether an element is that of the table, at the end of a link that is asked for."""
    if one.on == "both":
        return element.get("type") == end
    if one.path.rpartition("/")[2].startswith("other-") and element.text != one.text:
        return False
    return len(one.types) != 1 or element.get("type") == one.types[0]


def _value(one: MusicXMLElement, element: etree._Element) -> int | None:
    """How much of it there is, where a number in it says so; a part of a semitone counts as one."""
    text = element.findtext(one.child) if one.child else None
    return math.ceil(float(text)) if text else None


def leads_of(element: etree._Element) -> Link | None:
    """How a grace note leads on, if it does."""
    for one, row in _ELEMENTS:
        if row.leads and one.on == "both" and isinstance(row.value, Link):
            for found in element.iterfind(f"notations/{one.path}"):
                if _is_here(one, found, "start"):
                    return row.value
    return None


def _sung(element: etree._Element) -> dict[int, str]:
    """The syllables of a note by the number of their verse."""
    found: dict[int, str] = {}
    for place, lyric in enumerate(element.iterfind("lyric"), start=1):
        number, text = lyric.get("number", ""), _syllable(lyric)
        verse = int(number) if number.isdecimal() and number.isascii() else place
        if text is not None and 1 <= verse <= _MOST_VERSES:
            said = lyric.findall("syllabic")
            more = "-" if said and said[-1].text in ("begin", "middle") else ""
            found.setdefault(verse, text + more)
    return found


def _syllable(lyric: etree._Element) -> str | None:
    """What is sung to a note: one syllable, or several with what joins them (MusicXML 4.0,
    ``elision``); None where there is none."""
    parts = [
        (part.text or "").strip() or _ELISION if part.tag == "elision" else part.text or ""
        for part in lyric.iterchildren("text", "elision")
    ]
    return "".join(parts) if parts else None
