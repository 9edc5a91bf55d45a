"""Random edits of the MusicXML that rollstave writes of the samples, as arrangers make them.

Each edit changes one staff, or what another program leaves out when it saves; what must be read
afterwards follows from the edit itself. A seed makes one file; some are saved by music21 besides.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from functools import cache
from random import Random

from lxml import etree
from msgspec import Struct, field

import rollstave
from tests.tunes import SAMPLES, sample

KINDS = ("staff pitch", "staff added", "staff deleted", "tab pitch", "tab deleted", "tab moved")
STEPS = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
_NUMBER = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}

Struck = tuple[int, Fraction, int]  # the index of a measure, an onset, a MIDI number


class Edited(Struct):
    """A file, the tune that it was made from, and what was done: the notes that are gone, those
    that are new, those that have another string and fret, and the measures in which staff and tab
    disagree now. ``copied`` is the index of a measure that stands twice; what is said of later
    ones counts it."""

    tune: rollstave.Tune
    data: bytes = b""
    said: list[str] = field(default_factory=list)
    gone: set[Struck] = field(default_factory=set)
    new: set[Struck] = field(default_factory=set)
    moved: dict[Struck, tuple[int, int]] = field(default_factory=dict)
    measures: set[str] = field(default_factory=set)
    copied: int | None = None


@cache
def edited(seed: int) -> Edited:
    """One to three edits of a sample, made once a session."""
    dice = Random(seed)
    found = Edited(sample(SAMPLES[seed % len(SAMPLES)].stem))
    root = etree.fromstring(rollstave.write(found.tune, "musicxml")[0])
    if dice.random() < 0.3:
        _copy_a_measure(root, found, dice)
    where = _places(root)
    taken: set[tuple[int, Fraction]] = set()
    kinds = [dice.choice(KINDS) for _ in range(dice.randint(1, 3))]
    for kind in kinds:
        _edit(kind, where, taken, found, dice)
    if dice.random() < 0.5:
        found.said.append("tuning dropped")
        for details in root.findall(".//staff-details"):
            details.getparent().remove(details)
    found.data = etree.tostring(root, xml_declaration=True, encoding="utf-8")
    if dice.random() < 0.5:
        found.said.append("saved by music21")
        found.data = _saved(found.data)
    return found


class At(Struct):
    """A note element, and where it is struck."""

    element: etree._Element
    measure: int
    called: str
    onset: Fraction
    staff: str
    midi: int
    alone: bool

    @property
    def time(self) -> tuple[int, Fraction]:
        return self.measure, self.onset


def _places(root: etree._Element) -> list[At]:
    """All notes that are struck and in no tie, beam of grace notes or harmonic."""
    found, divisions = [], 1
    for index, measure in enumerate(root.findall("part/measure")):
        now = last = Fraction(0)
        for child in measure:
            divisions = int(child.findtext("divisions") or divisions)
            lasts = Fraction(int(child.findtext("duration") or 0), divisions)
            if child.tag in ("backup", "forward"):
                now += lasts if child.tag == "forward" else -lasts
            if child.tag != "note" or child.find("grace") is not None:
                continue
            chord = child.find("chord") is not None
            onset = last if chord else now
            if not chord:
                last, now = now, now + lasts
            following = child.getnext()
            joined = following is not None and following.find("chord") is not None
            plain = not any(
                child.find(path) is not None
                for path in ("tie", "rest", "notehead", "notations/technical/harmonic")
            )
            if plain:
                found.append(
                    At(
                        element=child,
                        measure=index,
                        called=measure.get("number", ""),
                        onset=onset,
                        staff=child.findtext("staff", "1"),
                        midi=_midi(child),
                        alone=not chord and not joined,
                    )
                )
    return found


def _midi(note: etree._Element) -> int:
    alter = int(note.findtext("pitch/alter") or 0)
    octave = int(note.findtext("pitch/octave") or 4)
    return 12 * (octave + 1) + _NUMBER[note.findtext("pitch/step", "C")] + alter


def _set(note: etree._Element, midi: int) -> None:
    pitch = note.find("pitch")
    assert pitch is not None
    for child in list(pitch):
        pitch.remove(child)
    name = STEPS[midi % 12]
    etree.SubElement(pitch, "step").text = name[0]
    if len(name) > 1:
        etree.SubElement(pitch, "alter").text = "1"
    etree.SubElement(pitch, "octave").text = str(midi // 12 - 1)
    for sign in note.findall("accidental"):
        note.remove(sign)


def _edit(
    kind: str, where: list[At], taken: set[tuple[int, Fraction]], found: Edited, dice: Random
) -> None:
    staff = "1" if kind.startswith("staff") else "2"
    struck = {(at.measure, at.onset, at.midi) for at in where}
    # Harmonics and dead notes sound otherwise on staff and tab: their times are left alone.
    tab = {(at.measure, at.onset, at.midi) for at in where if at.staff == "2"}
    otherwise = {at.time for at in where if at.staff == "1" and (*at.time, at.midi) not in tab}
    alike = Counter((at.staff, at.time, at.midi) for at in where)
    free = [
        at
        for at in where
        if at.staff == staff
        and at.time not in taken | otherwise
        and (at.alone or "deleted" not in kind)
        # Of two strings in unison one would stay where the other is changed.
        and alike[staff, at.time, at.midi] == 1
    ]
    if kind == "tab moved":
        _move(free, taken, found, dice)
        return
    at = dice.choice(free)
    taken.add((at.measure, at.onset))
    here = (at.measure, at.onset, at.midi)
    found.measures.add(at.called)
    if kind.endswith("deleted"):
        _to_rest(at.element)
        found.gone.add(here)
        found.said.append(f"{kind}: measure {at.called}")
        return
    steps = next(n for n in (2, 1, 3, 4, 5) if (*here[:2], at.midi + n) not in struck)
    if kind == "staff added":
        steps = next(n for n in (3, 4, 5, 7) if (*here[:2], at.midi + n) not in struck)
        _add(at.element, at.midi + steps)
    else:
        _set(at.element, at.midi + steps)
        found.gone.add(here)
        fret = at.element.find("notations/technical/fret")
        if fret is not None:
            fret.text = str(int(fret.text or 0) + steps)
    found.new.add((*here[:2], at.midi + steps))
    found.said.append(f"{kind}: measure {at.called}, {at.midi} to {at.midi + steps}")


def _move(free: list[At], taken: set[tuple[int, Fraction]], found: Edited, dice: Random) -> None:
    """Put a note that is struck alone on another string, where it sounds the same."""
    setup = found.tune.score.setup
    ways = []
    for at in free:
        string = int(at.element.findtext("notations/technical/string") or 0)
        for other in range(1, setup.instrument.strings + 1):
            fret = at.midi - setup.open_midi(other)
            short = setup.instrument.short_string
            fits = at.alone and other != string and 0 <= fret <= 9
            if fits and not (short and short.string == other):
                ways.append((at, other, fret))
    at, string, fret = dice.choice(ways)
    for name, number in (("string", string), ("fret", fret)):
        element = at.element.find(f"notations/technical/{name}")
        assert element is not None
        element.text = str(number)
    taken.add((at.measure, at.onset))
    found.moved[at.measure, at.onset, at.midi] = string, fret
    found.said.append(f"tab moved: measure {at.called} to string {string}, fret {fret}")


def _copy_a_measure(root: etree._Element, found: Edited, dice: Random) -> None:
    """Let a measure in the middle stand twice, and number those after it anew."""
    measures = root.findall("part/measure")
    plain = [
        index
        for index in range(1, len(measures) - 1)
        if all(measures[n].find(".//tie") is None for n in (index, index + 1))
        and measures[index].find("barline") is None
    ]
    found.copied = dice.choice(plain)
    chosen = measures[found.copied]
    copy = etree.fromstring(etree.tostring(chosen))
    for name in ("print", "direction", "harmony", "attributes"):
        for child in copy.findall(name):
            copy.remove(child)
    chosen.addnext(copy)
    for later in (copy, *measures[found.copied + 1 :]):
        later.set("number", str(int(later.get("number", "0")) + 1))
    found.said.append(f"measure {found.copied} (index) copied")


def _to_rest(note: etree._Element) -> None:
    pitch = note.find("pitch")
    assert pitch is not None
    note.replace(pitch, etree.Element("rest"))
    for path in ("notations", "accidental", "stem", "beam", "lyric", "notehead"):
        for child in note.findall(path):
            note.remove(child)


def _add(note: etree._Element, midi: int) -> None:
    more = etree.fromstring(etree.tostring(note))
    for path in ("notations", "lyric", "chord", "accidental"):
        for child in more.findall(path):
            more.remove(child)
    more.attrib.clear()
    more.insert(0, etree.Element("chord"))
    _set(more, midi)
    note.addnext(more)


def _saved(data: bytes) -> bytes:
    from music21 import converter, musicxml

    saved: bytes = musicxml.m21ToXml.GeneralObjectExporter(converter.parseData(data)).parse()
    return saved
