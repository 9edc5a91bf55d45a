"""The measures of a part, walked element by element."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction

from lxml import etree

from rollstave.grid.model import Bar
from rollstave.musicxml_in.graces import HeardGrace, read_grace
from rollstave.musicxml_in.notes import Heard, read_note
from rollstave.pitch import MODES, Key
from rollstave.problems import ProblemList
from rollstave.rhythm.model import Meter
from rollstave.score.chords import chord_name
from rollstave.score.model import ChordName
from rollstave.score.values import VALUES

_BARS = {"light-light": Bar.DOUBLE, "light-heavy": Bar.FINAL}
_LONGEST = 64  # quarter notes of a measure
_FINEST = 2520  # parts of a quarter note: any tuplet of up to 10
_ALTERS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}


@dataclass
class ReadMeasure:
    """A measure while it is read."""

    number: str
    implicit: bool
    heard: list[Heard] = field(default_factory=list)
    graces: list[HeardGrace] = field(default_factory=list)
    length: Fraction = Fraction(0)
    chords: list[ChordName] = field(default_factory=list)
    left: Bar = Bar.SINGLE
    right: Bar = Bar.SINGLE
    ending: str | None = None
    ending_stop: bool = False
    section: str | None = None
    times: int | None = None
    jump: str | None = None
    fine: bool = False
    segno: bool = False
    to_coda: bool = False
    coda: bool = False


def read_measures(
    part: etree._Element, problems: ProblemList
) -> tuple[list[ReadMeasure], Key, Meter, Fraction | None]:
    staff = _staff(part)
    divisions = 1
    key, meter, tempo = Key("C"), Meter(4, 4), None
    found: list[ReadMeasure] = []
    for element in part.findall("measure"):
        read = ReadMeasure(element.get("number", ""), element.get("implicit") == "yes")
        now = last = Fraction(0)
        for child in element:
            if child.tag == "attributes":
                divisions = int(child.findtext("divisions", str(divisions)))
                if not found:
                    key, meter = _key(child, key), _meter(child, meter)
            elif child.tag == "note":
                if child.find("grace") is not None:
                    small = read_grace(child, now)
                    if small is not None and child.findtext("staff", "1") == staff:
                        read.graces.append(small)
                    continue
                duration = Fraction(int(float(child.findtext("duration", "0"))), divisions)
                onset = last if child.find("chord") is not None else now
                if child.find("chord") is None:
                    last, now = now, now + duration
                read.length = max(read.length, now)
                if child.findtext("staff", "1") == staff and (
                    note := read_note(child, onset, duration)
                ):
                    read.heard.append(note)
                elif staff != "1" and child.findtext("staff", "1") == "1":
                    _take_lyric(read, child, onset)
            elif child.tag in ("backup", "forward"):
                step = Fraction(int(float(child.findtext("duration", "0"))), divisions)
                now += step if child.tag == "forward" else -step
            elif child.tag == "harmony":
                read.chords.append(_chord(child, now))
            elif child.tag == "direction":
                tempo = _direction(child, read, tempo)
            elif child.tag == "barline":
                _barline(child, read)
        if read.length > _LONGEST or any(_is_fine(h.onset, h.duration) for h in read.heard):
            raise ValueError(
                f"measure {read.number or len(found) + 1} is {read.length} quarter notes long or "
                "has notes shorter than any that are written"
            )
        found.append(read)
    return found, key, meter, tempo


def _is_fine(*times: Fraction) -> bool:
    return any(time.denominator > _FINEST for time in times)


def _staff(part: etree._Element) -> str:
    """The staff that is read: the one with frets, or the first."""
    for note in part.iter("note"):
        if note.find("notations/technical/fret") is not None:
            return note.findtext("staff", "1")
    return "1"


def _take_lyric(read: ReadMeasure, element: etree._Element, onset: Fraction) -> None:
    """A syllable that stands under the other staff; it is kept by a note without a string."""
    note = read_note(element, onset, Fraction(0))
    if note is not None and note.lyric:
        read.heard.append(note)


def _key(attributes: etree._Element, before: Key) -> Key:
    key = attributes.find("key")
    if key is None:
        return before
    mode = key.findtext("mode", "major")
    mode = mode if mode in MODES else "major"
    fifths = int(key.findtext("fifths", "0")) - MODES[mode]
    step = "FCGDAEB"[(fifths + 1) % 7]
    return Key(step + _ALTERS.get((fifths + 1) // 7, ""), mode)


def _meter(attributes: etree._Element, before: Meter) -> Meter:
    time = attributes.find("time")
    if time is None or not time.findtext("beats", "").isdigit():
        return before
    symbol = time.get("symbol", "")
    return Meter(
        int(time.findtext("beats", "4")),
        int(time.findtext("beat-type", "4")),
        symbol if symbol in ("cut", "common") else "",
    )


def _chord(element: etree._Element, onset: Fraction) -> ChordName:
    kind = element.find("kind")
    inferred = element.get("font-style") == "italic"
    if kind is not None and kind.text == "none":
        return replace(chord_name(kind.get("text") or "N.C.", onset), inferred=inferred)
    text = _named(element, "root") + ((kind.get("text") or "") if kind is not None else "")
    if element.find("bass") is not None:
        text += "/" + _named(element, "bass")
    return replace(chord_name(text, onset), inferred=inferred)


def _named(element: etree._Element, name: str) -> str:
    step = element.findtext(f"{name}/{name}-step", "C")
    alter = int(float(element.findtext(f"{name}/{name}-alter", "0")))
    return step + _ALTERS.get(alter, "")


_UNITS = dict(VALUES)


def _direction(
    element: etree._Element, read: ReadMeasure, tempo: Fraction | None
) -> Fraction | None:
    """Section names, jumps, and the tempo in quarter notes a minute."""
    if rehearsal := element.findtext("direction-type/rehearsal"):
        read.section = rehearsal
    _jump(element, read)
    mark = element.find("direction-type/metronome")
    if mark is None or not mark.findtext("per-minute", "").strip().isdigit():
        return tempo
    unit = _UNITS.get(mark.findtext("beat-unit", "quarter"), Fraction(1))
    if mark.find("beat-unit-dot") is not None:
        unit *= Fraction(3, 2)
    return unit * Fraction(int(mark.findtext("per-minute", "100")))


def _jump(element: etree._Element, read: ReadMeasure) -> None:
    """Signs and words of jumps, and what they sound like."""
    sound = element.find("sound")
    words = (element.findtext("direction-type/words") or "").strip()
    said = {str(k): str(v) for k, v in sound.attrib.items()} if sound is not None else {}
    if said.get("dacapo") == "yes":
        read.jump = words or "D.C."
    elif said.get("dalsegno"):
        read.jump = words or "D.S."
    read.fine = read.fine or bool(said.get("fine"))
    read.to_coda = read.to_coda or bool(said.get("tocoda"))
    kinds = {kind.tag for kind in element.iterfind("direction-type/*")}
    read.segno = read.segno or "segno" in kinds
    # The sign of the coda stands also where a player leaves for it.
    read.coda = read.coda or ("coda" in kinds and not said.get("tocoda"))


def _barline(element: etree._Element, read: ReadMeasure) -> None:
    repeat, ending = element.find("repeat"), element.find("ending")
    if repeat is not None and repeat.get("direction") == "forward":
        read.left = Bar.REPEAT_START
    elif repeat is not None:
        read.right = Bar.REPEAT_END
        times = int(repeat.get("times", "2"))
        read.times = times if times > 2 else None
    elif element.get("location", "right") == "right":
        read.right = _BARS.get(element.findtext("bar-style", ""), read.right)
    if ending is not None:
        if ending.get("type") == "start":
            read.ending = ending.get("number", "1").replace(" ", "")
        else:
            read.ending_stop = True
