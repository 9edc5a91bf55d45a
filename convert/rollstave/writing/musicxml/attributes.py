"""What holds from a measure on: key, time, clefs, tuning, tempo. MusicXML 4.0, attributes."""

from __future__ import annotations

from fractions import Fraction

from lxml import etree

from rollstave.deciding.tempo import tempo_mark
from rollstave.instruments.setup import Setup
from rollstave.notating.values import single_value
from rollstave.pitch import Key, spell
from rollstave.rhythm.meter import Meter
from rollstave.score.records import Change, Score
from rollstave.vocabulary.headings import TEMPO_WORDS
from rollstave.writing.headings import said_in
from rollstave.writing.xml import add


def opening(element: etree._Element, score: Score, divisions: int, alone: bool = False) -> None:
    """What holds from the first measure on; a tab that is ``alone`` in its part is beside one that
    has the tempo."""
    attributes = add(element, "attributes")
    add(attributes, "divisions", divisions)
    _key(attributes, score.key)
    _time(attributes, score.meter)
    if not alone:
        add(attributes, "staves", 2)
        clef = add(attributes, "clef", number=1)
        sign, line = score.setup.instrument.clef
        add(clef, "sign", sign)
        add(clef, "line", line)
        octaves = score.setup.instrument.octave_written
        if octaves:
            add(clef, "clef-octave-change", -octaves)
    tab = add(attributes, "clef", number=None if alone else 2)
    add(tab, "sign", "TAB")
    add(tab, "line", 5)
    _tab_staff(attributes, score.setup, score.key.fifths, alone)
    if not alone:
        _tempo(element, score)


def changes(
    element: etree._Element, change: Change | None, again: Change | None, meter: Meter | None
) -> None:
    """What is different from a measure on, and what is only said again, unseen. ``meter`` is that
    of the measure, None in a part that does not say the tempo."""
    for said, seen in ((change, True), (again, False)):
        if said is not None:
            _changed(element, said, meter, seen)


def _changed(element: etree._Element, change: Change, meter: Meter | None, seen: bool) -> None:
    attributes = etree.Element("attributes")
    if change.key is not None:
        _key(attributes, change.key, seen)
    if change.meter is not None:
        _time(attributes, change.meter, seen)
    if change.setup is not None:
        _tab_staff(attributes, change.setup, 0, alone=meter is None, again=True)
    if len(attributes):
        element.append(attributes)
    if change.tempo is None or meter is None:
        return
    if seen:
        _pace(element, change.tempo, change.tempo, meter)
    else:
        add(element, "sound", tempo=_plain(change.tempo))


def _key(attributes: etree._Element, key: Key, seen: bool = True) -> None:
    element = add(attributes, "key", print_object=None if seen else "no")
    add(element, "fifths", key.fifths)
    add(element, "mode", key.mode)


def _time(attributes: etree._Element, meter: Meter, seen: bool = True) -> None:
    shown = None if seen else "no"
    time = add(attributes, "time", symbol=meter.symbol or None, print_object=shown)
    add(time, "beats", meter.count)
    add(time, "beat-type", meter.unit)


def _tab_staff(
    attributes: etree._Element, setup: Setup, fifths: int, alone: bool, again: bool = False
) -> None:
    """Lines, tuning and capo. Line 1 is the bottom line (MusicXML 4.0, staff-tuning), so the
    strings count the other way; the capo raises every line, so a short string that is not
    raised with it is written that much lower."""
    strings = setup.instrument.strings
    details = add(attributes, "staff-details", number=None if alone else 2)
    add(details, "staff-type", "alternate")
    add(details, "staff-lines", strings)
    short = setup.instrument.short_string
    for line in range(1, strings + 1):
        string = strings + 1 - line
        pitch = setup.tuning.pitches[string - 1]
        if short and short.string == string and setup.short_raise != setup.capo:
            pitch = spell(pitch.midi + setup.short_raise - setup.capo, fifths)
        tuning = add(details, "staff-tuning", line=line)
        add(tuning, "tuning-step", pitch.step)
        if pitch.alter:
            add(tuning, "tuning-alter", pitch.alter)
        add(tuning, "tuning-octave", pitch.octave)
    if setup.capo or again:
        add(details, "capo", setup.capo)


def _tempo(element: etree._Element, score: Score) -> None:
    """The tempo in words and the metronome mark if the typist wrote them; the sound's tempo
    always."""
    words = "".join(said for row, said in said_in(score) if row.kept.path == TEMPO_WORDS)
    if score.tempo is None and not words:
        add(element, "sound", tempo=_plain(score.sounding_tempo))
    else:
        _pace(element, score.tempo, score.sounding_tempo, score.meter, words)


def _pace(
    element: etree._Element,
    marked: Fraction | None,
    sounds: Fraction,
    meter: Meter,
    words: str = "",
) -> None:
    """Words and metronome mark, of which there may be one only, and what they sound like."""
    direction = add(element, "direction", placement="above")
    if words:
        add(add(direction, "direction-type"), "words", words, font_weight="bold")
    if marked is not None:
        metronome = add(add(direction, "direction-type"), "metronome")
        unit, number = tempo_mark(marked, meter)
        name, dots = single_value(unit) or ("quarter", 0)
        add(metronome, "beat-unit", name)
        for _ in range(dots):
            add(metronome, "beat-unit-dot")
        whole = number.denominator == 1
        add(metronome, "per-minute", int(number) if whole else f"{float(number):.2f}")
    add(direction, "staff", 1)
    add(direction, "sound", tempo=_plain(sounds))


def _plain(tempo: Fraction) -> int | float:
    value = float(tempo)
    return int(value) if value == int(value) else value
