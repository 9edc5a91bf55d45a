"""One note element: pitch, string and fret if it has them, and how it is played."""

from __future__ import annotations

from fractions import Fraction

from lxml import etree
from msgspec import Struct

from rollstave.grid.typed import Link, SlideEdge
from rollstave.musicxml_in.numbers import line_of, step, whole
from rollstave.pitch import Pitch
from rollstave.score.records import Finger

LINKS = (
    ("technical/hammer-on", Link.HAMMER_ON),
    ("technical/pull-off", Link.PULL_OFF),
    ("slide", Link.SLIDE),
    ("glissando", Link.SLIDE),
)
_FROM = {"scoop": SlideEdge.UP, "plop": SlideEdge.DOWN}
_TO = {"doit": SlideEdge.UP, "falloff": SlideEdge.DOWN}
_FINGERS = {"t": Finger.THUMB, "p": Finger.THUMB, "i": Finger.INDEX, "m": Finger.MIDDLE}


class Heard(Struct):
    """A note as the file has it; ``string`` and ``fret`` are None where it has none. ``tied``
    is a note that a tie leads to, ``ties`` one that a tie leads from; ``line`` is where its element
    begins."""

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
    lyric: str | None = None
    left_finger: int | None = None
    half: bool = False
    line: int = 1


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
        pitch=Pitch(
            step(pitch, "step"),
            whole(pitch, "alter", 0, -2, 2),
            whole(pitch, "octave", 4, 0, 9),
        ),
        string=_number(technical, "string"),
        fret=_number(technical, "fret"),
        tied=any(t.get("type") == "stop" for t in element.findall("tie")),
        ties=any(t.get("type") == "start" for t in element.findall("tie")),
        muted=head is not None and head.text == "x",
        ghost=head is not None and head.get("parentheses") == "yes",
        lyric=_lyric(element),
        left_finger=_left_finger(technical),
        line=line_of(element),
    )
    for notations in element.findall("notations"):
        _notations(found, notations)
        said = notations.findall("technical/other-technical")
        found.half = found.half or any(e.text == "half fret" for e in said)
    return found


def _number(technical: etree._Element | None, name: str) -> int | None:
    text = technical.findtext(name) if technical is not None else None
    return int(text) if text is not None and text.strip().isdecimal() else None


def _left_finger(technical: etree._Element | None) -> int | None:
    """The finger of the left hand (MusicXML 4.0 ``fingering``), if it is one of 1 to 4."""
    number = _number(technical, "fingering")
    return number if number is not None and 1 <= number <= 4 else None


def _notations(found: Heard, notations: etree._Element) -> None:
    for path, link in LINKS:
        if any(e.get("type") == "stop" for e in notations.findall(path)):
            found.link = link
    found.brush = found.brush or notations.find("arpeggiate") is not None
    found.vibrato = found.vibrato or notations.find("ornaments/wavy-line") is not None
    found.harmonic = found.harmonic or notations.find("technical/harmonic") is not None
    found.let_ring = found.let_ring or any(
        t.get("type") == "let-ring" for t in notations.findall("tied")
    )
    bend = notations.findtext("technical/bend/bend-alter")
    if bend is not None:
        found.bend = round(float(bend))
    pluck = notations.find("technical/pluck")
    if pluck is not None and (pluck.text or "").strip().lower() in _FINGERS:
        found.finger = _FINGERS[(pluck.text or "").strip().lower()]
        found.inferred_finger = pluck.get("font-style") == "italic"
    for name, edge in _FROM.items():
        if notations.find(f"articulations/{name}") is not None:
            found.slide_from = edge
    for name, edge in _TO.items():
        if notations.find(f"articulations/{name}") is not None:
            found.slide_to = edge


def _lyric(element: etree._Element) -> str | None:
    lyric = element.find("lyric")
    text = lyric.findtext("text") if lyric is not None else None
    if lyric is None or text is None:
        return None
    return text + ("-" if lyric.findtext("syllabic") in ("begin", "middle") else "")
