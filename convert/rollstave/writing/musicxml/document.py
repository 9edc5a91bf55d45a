"""The document: header, credits, part list, measures. MusicXML 4.0, score-partwise."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from math import lcm

from lxml import etree

from rollstave.deciding.changes import restated
from rollstave.deciding.playback import unsigned_starts
from rollstave.grid.typed import Bar
from rollstave.instruments.abbreviations import abbreviated
from rollstave.notating.closing import goes_on_after
from rollstave.notating.layout import system_starts
from rollstave.notating.notation import NotatedMeasure, Voice, middle_line, notate
from rollstave.notating.octaves import passages
from rollstave.score.links import links_of
from rollstave.score.memo import once_for_a_score
from rollstave.score.records import Change, Measure, Score
from rollstave.version import __version__
from rollstave.vocabulary.headings import CREATOR, FIELD, RIGHTS, ROWS, SOURCE
from rollstave.writing.headings import said_in, short_string_words
from rollstave.writing.musicxml.attributes import changes, opening
from rollstave.writing.musicxml.harmony import add_chord
from rollstave.writing.musicxml.notes import NoteWriter
from rollstave.writing.musicxml.page import add_page, leave_room
from rollstave.writing.xml import add

_DOCTYPE = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">'
)
_PART, _BESIDE = "P1", "P2"
_BAR_STYLES = {
    Bar.DOUBLE: "light-light",
    Bar.FINAL: "light-heavy",
    Bar.REPEAT_END: "light-heavy",
    Bar.REPEAT_START: "heavy-light",
}


def write_musicxml(score: Score) -> bytes:
    """The score as a MusicXML 4.0 file."""
    root = etree.Element("score-partwise", version="4.0")
    _header(root, score)
    parts = [_measures(score)]
    for name in (_PART, _BESIDE) if score.beside is not None else (_PART,):
        add(add(root, "part", id=name), "measure")
    if score.beside is not None:
        parts.append(_measures_beside(score.beside.score))
    frame = etree.tostring(
        root, xml_declaration=True, encoding="UTF-8", pretty_print=True, doctype=_DOCTYPE
    )
    pieces = [frame]
    for measures in parts:
        before, after = pieces.pop().split(_ROOM, 1)
        pieces += [before, *measures, after]
    return b"".join(pieces)


_ROOM = b"    <measure/>\n"  # where the measures of a part stand in the frame
_AROUND = b"<score-partwise>\n  <part>\n", b"  </part>\n</score-partwise>\n"


def _as_bytes(part: etree._Element) -> bytes:
    """The one measure of a part, as it is printed in its place. A measure is let go as soon as it
    is printed: as elements, those of a long tune take ten times as much memory as the file."""
    root = etree.Element("score-partwise")
    root.append(part)
    printed = etree.tostring(root, encoding="UTF-8", xml_declaration=False, pretty_print=True)
    return printed[len(_AROUND[0]) : -len(_AROUND[1])]


def _measures(score: Score) -> Iterator[bytes]:
    notated = notate(score)
    writer = NoteWriter(score, _divisions(score, notated), links_of(score.measures))
    starts, again = set(system_starts(notated)), restated(score)
    high = passages(notated, middle_line(score.setup.instrument), starts)
    writer.shifts = {p.first for p in high}, {p.last for p in high}
    for index, measure in enumerate(notated):
        part = etree.Element("part")
        _measure(part, score, measure, writer, again, index in starts)
        yield _as_bytes(part)


def _measures_beside(score: Score) -> Iterator[bytes]:
    """The other version as a part of its own, which has only a tab."""
    notated = notate(score)
    writer = NoteWriter(score, _divisions(score, notated), links_of(score.measures), alone=True)
    again = restated(score)
    for measure in notated:
        part = etree.Element("part")
        _measure(part, score, measure, writer, again, new_system=False)
        yield _as_bytes(part)


def _divisions(score: Score, notated: tuple[NotatedMeasure, ...]) -> int:
    """Divisions of a quarter note in which every duration is whole, and every place of a chord."""
    denominators = {s.duration.denominator for m in notated for v in m.layers for s in v.symbols}
    denominators |= {c.onset.denominator for m in notated for c in m.measure.chords}
    held = (n.lasts for m in notated for e in m.measure.events for n in e.notes if n.lasts)
    denominators |= {time.denominator for time in held}
    return lcm(*denominators, 1)


def _header(root: etree._Element, score: Score) -> None:
    work = add(root, "work")
    add(work, "work-title", score.title)
    _identification(root, score)
    add_page(root, score)
    part_list = add(root, "part-list")
    name = score.setup.instrument.name.capitalize()
    _part(part_list, _PART, name, score)
    if score.beside is not None:
        _part(part_list, _BESIDE, f"{name}, {score.beside.says}", score.beside.score)


def _part(part_list: etree._Element, name: str, words: str, score: Score) -> None:
    part = add(part_list, "score-part", id=name)
    instrument = score.setup.instrument
    add(part, "part-name", words)
    if short := abbreviated(instrument.name):
        add(part, "part-abbreviation", short)
    sound = add(part, "score-instrument", id=f"{name}-I1")
    add(sound, "instrument-name", instrument.name.capitalize())
    add(sound, "instrument-sound", instrument.sound)
    midi = add(part, "midi-instrument", id=f"{name}-I1")
    add(midi, "midi-channel", 1 if name == _PART else 2)
    add(midi, "midi-program", instrument.program)


def _identification(root: etree._Element, score: Score) -> None:
    """What the headings say in words, each in its element, in the order that MusicXML demands."""
    identification = add(root, "identification")
    said = [(row.kept, words) for row, words in said_in(score)]
    # A staff's tuning cannot say by what a short string is raised, or how its frets are numbered.
    if words := short_string_words(score):
        said.append((ROWS["fifth string"].kept, words))

    def say(parent: etree._Element, path: str) -> None:
        for kept, words in said:
            if kept.path == path:
                attributes = {kept.attribute: kept.value} if kept.attribute else {}
                add(parent, path.rpartition("/")[2], words, **attributes)

    say(identification, CREATOR)
    say(identification, RIGHTS)
    encoding = add(identification, "encoding")
    add(encoding, "software", f"rollstave {__version__}")
    for element in ("accidental", "beam", "stem"):
        add(encoding, "supports", element=element, type="yes")
    add(encoding, "supports", element="print", attribute="new-system", type="yes", value="yes")
    say(identification, SOURCE)
    if any(kept.path == FIELD for kept, _ in said):
        say(add(identification, "miscellaneous"), FIELD)


def _measure(
    part: etree._Element,
    score: Score,
    notated: NotatedMeasure,
    writer: NoteWriter,
    again: Mapping[int, Change],
    new_system: bool,
) -> None:
    measure = notated.measure
    index = measure.index
    number = str(measure.number) if measure.number or not measure.index else f"X{measure.index}"
    element = add(part, "measure", number=number, implicit="yes" if measure.implicit else None)
    if new_system and index:
        add(element, "print", new_system="yes")
    elif index == 0 and not writer.alone:
        leave_room(element, score)
    _left_bar(element, measure, score)
    if index == 0:
        opening(element, score, writer.divisions, alone=writer.alone)
    else:
        meter = None if writer.alone else writer.meters[index]
        changes(element, measure.change, again.get(index), meter)
    if measure.section and not writer.alone:
        direction = add(element, "direction", placement="above")
        add(add(direction, "direction-type"), "rehearsal", measure.section)
        add(direction, "staff", 1)
    if not writer.alone:
        _targets(element, measure)
    for voice in notated.layers:
        if voice.number > 1:
            _back(element, voice, writer)
        _voice(element, notated, voice, writer)
    if not writer.alone:
        for voice in notated.layers:
            _back(element, voice, writer)
            writer.begin_measure(notated, voice)
            for symbol in voice.symbols:
                writer.tab_notes(element, measure, symbol, voice.whole_rest)
        _jumps(element, measure)
    _right_bar(element, measure)


_Shifts = tuple[list[Fraction], list[Fraction]]


def _shifts(notated: NotatedMeasure, writer: NoteWriter) -> _Shifts:
    """When passages under a sign of an octave begin in a measure, and when their last notes do."""
    index = notated.measure.index
    begins, ends = (
        [s.onset for place, s in enumerate(notated.symbols) if (index, place) in places]
        for places in writer.shifts
    )
    return begins, ends


def _voice(
    element: etree._Element,
    notated: NotatedMeasure,
    voice: Voice,
    writer: NoteWriter,
) -> None:
    """The notes of a voice on the first staff; what stands over them is before those of the
    first."""
    writer.begin_measure(notated, voice)
    chords = list(notated.measure.chords) if voice.number == 1 else []
    strings = writer.score.setup.instrument.strings
    write = writer.tab_notes if writer.alone else writer.staff_notes
    begins, ends = _shifts(notated, writer)
    for symbol in voice.symbols:
        after = symbol.onset + symbol.duration
        while chords and chords[0].onset < after:
            later = writer.ticks(chords[0].onset - symbol.onset)
            add_chord(element, chords.pop(0), strings, later)
        if begins and begins[0] < after:
            begins.pop(0)
            _octave_shift(element, "down")
        write(element, notated.measure, symbol, voice.whole_rest)
        if ends and ends[0] < after:
            ends.pop(0)
            _octave_shift(element, "stop")
    for chord in chords:
        add_chord(element, chord, strings)


def _back(element: etree._Element, voice: Voice, writer: NoteWriter) -> None:
    """Go back to the beginning of a measure."""
    whole = sum((s.duration for s in voice.symbols), Fraction(0))
    add(add(element, "backup"), "duration", writer.ticks(whole))


def _octave_shift(element: etree._Element, kind: str) -> None:
    """The beginning or the end of a passage under ``8va``: what is written is an octave down from
    the pitches that the notes have (MusicXML 4.0, octave-shift)."""
    direction = add(element, "direction", placement="above")
    add(add(direction, "direction-type"), "octave-shift", type=kind, size=8)
    add(direction, "staff", 1)


@once_for_a_score
def _unsigned(score: Score) -> frozenset[int]:
    return unsigned_starts(score.measures)


def _left_bar(element: etree._Element, measure: Measure, score: Score) -> None:
    """The bar before a measure. Where a repeat goes back to after another repeat is said for
    players, also where no sign is drawn: some go back to the beginning."""
    signed = measure.left is Bar.REPEAT_START
    starts_repeat = signed or measure.index in _unsigned(score)
    if not starts_repeat and measure.ending is None:
        return
    bar = add(element, "barline", location="left")
    if starts_repeat:
        add(bar, "bar-style", _BAR_STYLES[Bar.REPEAT_START] if signed else "regular")
    if measure.ending is not None:
        add(bar, "ending", number=measure.ending, type="start")
    if starts_repeat:
        add(bar, "repeat", direction="forward")


def _right_bar(element: etree._Element, measure: Measure) -> None:
    style = _BAR_STYLES.get(measure.right)
    if style is None and not measure.ending_stop:
        return
    bar = add(element, "barline", location="right")
    if style:
        add(bar, "bar-style", style)
    if measure.ending_stop and measure.in_ending is not None:
        kind = "discontinue" if goes_on_after(measure) else "stop"
        add(bar, "ending", number=measure.in_ending, type=kind)
    if measure.right is Bar.REPEAT_END:
        add(bar, "repeat", direction="backward", times=measure.times)


def _targets(element: etree._Element, measure: Measure) -> None:
    """Segno and coda, where jumps lead to."""
    for there, name in ((measure.segno, "segno"), (measure.coda, "coda")):
        if there:
            direction = add(element, "direction", placement="above")
            add(add(direction, "direction-type"), name)
            add(direction, "staff", 1)
            add(direction, "sound", **{name: name})


def _jumps(element: etree._Element, measure: Measure) -> None:
    """To Coda, Fine, D.C. and D.S., as words and as sound."""
    back = {"dalsegno": "segno"} if (measure.jump or "").startswith("D.S.") else {"dacapo": "yes"}
    for words, sound in (
        ("To Coda" if measure.to_coda else None, {"tocoda": "coda"}),
        ("Fine" if measure.fine else None, {"fine": "yes"}),
        (measure.jump, back),
    ):
        if words:
            direction = add(element, "direction", placement="above")
            add(add(direction, "direction-type"), "words", words)
            add(direction, "staff", 1)
            add(direction, "sound", **sound)
