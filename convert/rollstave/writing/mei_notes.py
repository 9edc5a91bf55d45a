"""Single notes and rests in MEI 5, and their ids."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from fractions import Fraction

from lxml import etree

from rollstave.notating.notation import GraceHead, Head, Symbol
from rollstave.notating.voices import NO_EVENT
from rollstave.score.records import Event, Measure
from rollstave.writing.note_ids import note_id
from rollstave.writing.xml import add

XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
_FLAGGED = {"eighth", "16th", "32nd", "64th"}
ACCIDENTALS = {-2: "ff", -1: "f", 0: "n", 1: "s", 2: "x"}


def head_id(prefix: str, measure: Measure, symbol: Symbol, head: Head) -> str:
    """The id of a head on the staff or on the tab."""
    return note_id(prefix, measure.index, symbol.event_index, symbol.part, head.note.string)


def symbol_id(measure: Measure, symbol: Symbol) -> str:
    """What the ids of a chord, a group of digits and a rest end with: the second voice and those
    after it are named, and their rests by their time, because they are part of no event."""
    voice = f"v{symbol.voice}" if symbol.voice > 1 else ""
    if symbol.event_index == NO_EVENT:
        at = symbol.onset
        return f"{measure.index}-at{at.numerator}.{at.denominator}{voice}"
    return f"{measure.index}-{symbol.event_index}-{symbol.part}{voice}"


def pitched(
    parent: etree._Element, head: Head | GraceHead, lower: bool, engraved: bool
) -> etree._Element:
    """A note of the staff with its accidental, seen or not; under a sign of an octave it is written
    ``lower`` than it sounds. Where it is ``engraved``, the sheet draws parentheses around an
    accidental that only warns, for which Verovio would leave a note's room."""
    pitch = head.note.pitch
    element = add(parent, "note", pname=pitch.step.lower(), oct=pitch.octave - lower)
    if lower:
        element.set("oct.ges", str(pitch.octave))
    if head.cautionary and head.accidental is not None:
        # It only warns: Gould, Behind Bars (2011), from memory, has it in parentheses.
        sign = ACCIDENTALS[head.accidental]
        add(element, "accid", accid=sign, func="caution", enclose=None if engraved else "paren")
    elif head.accidental is not None:
        element.set("accid", ACCIDENTALS[head.accidental])
    elif pitch.alter:
        element.set("accid.ges", ACCIDENTALS[pitch.alter])
    return element


def place_tuplet(group: etree._Element, symbols: Sequence[Symbol], tab: bool, hangs: bool) -> None:
    """Say where the number of a tuplet stands. On the tab at the stems, under it where they hang
    (``hangs``). On the staff over the notes, so that it is not on that of the tab; where that hangs
    under the tab, and one beam has all the notes and no others, alone at the beam. Away from its
    beam it has a bracket (Gould, Behind Bars, 2011, from memory)."""
    side = "above" if not tab or (symbols[0].voice % 2 and not hangs) else "below"
    down = not any(symbol.stem_up for symbol in symbols)
    if not tab and hangs and down and _is_a_beam(group, symbols):
        side = "below"
    elif not tab and not all(symbol.stem_up for symbol in symbols):
        group.set("bracket.visible", "true")
    group.set("num.place", side)
    group.set("bracket.place", side)


def _is_a_beam(group: etree._Element, symbols: Sequence[Symbol]) -> bool:
    """True if a beam has all notes of a tuplet and no others; one that has more is around it."""
    around = group.getparent()
    beams = {symbol.beam for symbol in symbols}
    return len(beams) == 1 and None not in beams and (around is None or around.tag != "beam")


def reaches_on(symbol: Symbol) -> bool:
    """True if a dot or a flag stands between a note and the next."""
    return bool(symbol.dots) or (symbol.beam is None and symbol.value in _FLAGGED)


def set_stem(element: etree._Element, symbol: Symbol) -> None:
    """Say which way the stem of a note or a chord goes, where no beam does."""
    if symbol.value != "whole" and symbol.beam is None:
        element.set("stem.dir", "up" if symbol.stem_up else "down")


def set_strokes(element: etree._Element, event: Event) -> None:
    """Say which way a note or a chord is struck (MEI 5.1, data.ARTICULATION)."""
    if event.down_stroke or event.up_stroke:
        element.set("artic", "dnbow" if event.down_stroke else "upbow")


def rest_measure(
    layer: etree._Element, measure: Measure, tab: bool, seen: bool, voice: int
) -> None:
    """A rest or a space for a whole measure of one voice."""
    rest = add(layer, "mRest" if seen else "mSpace")
    other = f"v{voice}" if voice > 1 else ""
    rest.set(XML_ID, f"{'tr' if tab else 'nr'}{measure.index}-0-0{other}")


def nested(symbols: Sequence[Symbol]) -> list[tuple[int, int, str]]:
    """Beams and tuplets as (start, end, kind), outer before inner; a beam that would cross the
    edge of a tuplet is left out."""
    spans: dict[tuple[str, int], list[int]] = {}
    for index, symbol in enumerate(symbols):
        if symbol.beam is not None:
            spans.setdefault(("beam", symbol.beam), []).append(index)
        if symbol.tuplet is not None:
            spans.setdefault(("tuplet", symbol.tuplet), []).append(index)
    found = [(min(v), max(v) + 1, kind) for (kind, _), v in spans.items()]
    tuplets = sorted((start, end) for start, end, kind in found if kind == "tuplet")

    def crosses(start: int, end: int) -> bool:
        # Tuplets stand apart: the last that begins before the beam, and those that begin in it.
        first = max(0, bisect_left(tuplets, (start, 0)) - 1)
        near = tuplets[first : bisect_left(tuplets, (end, 0))]
        return any(a < start < b < end or start < a < end < b for a, b in near)

    kept = [f for f in found if f[2] == "tuplet" or not crosses(f[0], f[1])]
    return sorted(kept, key=lambda f: (f[0], -f[1], f[2] != "tuplet"))


def number_of(value: Fraction) -> str:
    """A time in beats as MEI has it."""
    return str(int(value)) if value.denominator == 1 else f"{float(value):.5f}".rstrip("0")
