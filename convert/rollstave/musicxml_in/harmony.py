"""Chord names of MusicXML: root, kind, degrees and bass back to what a typist would write."""

from __future__ import annotations

from fractions import Fraction

from lxml import etree
from msgspec.structs import replace

from rollstave.deciding.chords import chord_name
from rollstave.musicxml_in.changes import ALTERS
from rollstave.musicxml_in.numbers import whole
from rollstave.pitch import Key
from rollstave.score.records import ChordName
from rollstave.vocabulary.chord_kinds import kind_in_musicxml


def read_chord(element: etree._Element, onset: Fraction, key: Key) -> ChordName | None:
    """A ``harmony`` as a chord name; ``onset`` is in quarter notes from the measure's start. A root
    that is a number of the scale is that of the key. None where there is no root."""
    kind = element.find("kind")
    inferred = element.get("font-style") == "italic"
    if kind is not None and kind.text == "none":
        return replace(chord_name(kind.get("text") or "N.C.", onset), inferred=inferred)
    root = _named(element, "root") or _of_scale(element.find("numeral"), key)
    if not root:
        return None
    text = root + (_suffix(element, kind) if kind is not None else "")
    if element.find("bass") is not None:
        text += f"/{_named(element, 'bass')}"
    return replace(chord_name(text, onset), inferred=inferred)


def _suffix(element: etree._Element, kind: etree._Element) -> str:
    """What stands after the root: as it is printed, or as the table types it for a kind without
    text (``kind`` and ``degree`` in MusicXML 4.0). Degrees that are printed beside a kind's text
    belong to the name."""
    degrees = element.findall("degree")
    known = kind_in_musicxml(
        (kind.text or "").strip(),
        frozenset(
            (
                whole(d, "degree-value", 0, 0, 13),
                whole(d, "degree-alter", 0, -2, 2),
                d.findtext("degree-type", "add").strip(),
            )
            for d in degrees
        ),
    )
    shown = kind.get("text")
    beside = [d for d in degrees if d.get("print-object") != "no"]
    if shown is not None and not beside:
        return shown
    if known is not None:
        return known.suffix
    plain = kind_in_musicxml((kind.text or "").strip(), frozenset())
    whole_name = shown if shown is not None else plain.suffix if plain else ""
    return whole_name + "".join(map(_degree, beside))


_DEGREES = {"add": "add", "subtract": "no", "alter": ""}


def _degree(element: etree._Element) -> str:
    """A degree as typed: ``(add9)``, ``(b5)``, ``(no3)``."""
    sign = ALTERS.get(whole(element, "degree-alter", 0, -2, 2), "")
    what = _DEGREES.get(element.findtext("degree-type", "add").strip(), "")
    return f"({what}{sign}{element.findtext('degree-value', '')})"


def _named(element: etree._Element, name: str) -> str:
    """The name of a root or a bass; empty where there is none."""
    step = element.findtext(f"{name}/{name}-step", "").strip()
    alter = whole(element, f"{name}/{name}-alter", 0, -2, 2)
    return step and step + ALTERS.get(alter, "")


def _of_scale(numeral: etree._Element | None, key: Key) -> str:
    """The note of a scale that a number says (MusicXML 4.0, ``numeral``); empty without one."""
    if numeral is None:
        return ""
    mode = numeral.findtext("numeral-key/numeral-mode", "major")
    fifths = key.fifths
    tonic = "CDEFGAB".index(key.tonic[0])
    if numeral.find("numeral-key") is not None:
        fifths = whole(numeral, "numeral-key/numeral-fifths", 0, -7, 7)
        tonic = (4 * fifths + (5 if mode.endswith("minor") else 0)) % 7
    letter = "CDEFGAB"[(tonic + whole(numeral, "numeral-root", 1, 1, 7) - 1) % 7]
    # Sharps come in fifths from F on, flats from B down.
    signed = (fifths - "FCGDAEB".index(letter) + 6) // 7
    alter = signed + whole(numeral, "numeral-alter", 0, -2, 2)
    return letter + ALTERS.get(alter, "")
