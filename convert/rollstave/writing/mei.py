"""MEI 5 for engraving: what Verovio needs to set staff and tab together.

The measures are written by :mod:`rollstave.writing.mei_measures`.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from lxml import etree

from rollstave.instruments.setup import Setup
from rollstave.notating.closing import is_open
from rollstave.notating.layout import system_starts
from rollstave.notating.notation import NotatedMeasure, notate
from rollstave.pitch import Key
from rollstave.rhythm.meter import Meter
from rollstave.score.holding import with_what_holds
from rollstave.score.records import Change, Score
from rollstave.vocabulary.headings import CREATOR
from rollstave.writing.headings import said_in
from rollstave.writing.mei_measures import MeasureWriter
from rollstave.writing.mei_notes import ACCIDENTALS
from rollstave.writing.mei_under import UNDER_STAFF, Under, UnderWriter, under_of
from rollstave.writing.options import View
from rollstave.writing.xml import add, root_element

NAMESPACE = "http://www.music-encoding.org/ns/mei"


def write_mei(score: Score) -> bytes:
    """The score as an MEI 5.1 file."""
    return build_mei(score, notate(score), under=under_of(score))


def build_mei(
    score: Score,
    notated: Sequence[NotatedMeasure],
    *,
    view: View = View.BOTH,
    for_engraving: bool = False,
    starts: Sequence[int] = (),
    tab_rests: bool = False,
    only: Collection[int] | None = None,
    under: Under | None = None,
) -> bytes:
    """The same, from symbols that have been notated already, with the staves of a view.

    ``for_engraving`` leaves out the words over the music, which the sheet draws itself.
    ``starts`` are the measures that begin a system. ``tab_rests`` sets rests on the
    tab as well as on the staff; a tab alone always has them. ``only`` are the indices of the
    measures to write, where not all are wanted; nothing may reach over their ends. ``under`` is
    another version, whose tab stands under the tune's own.
    """
    root = root_element("mei", {None: NAMESPACE})
    root.set("meiversion", "5.1")
    _header(root, score)
    body = add(add(root, "music"), "body")
    score_element = add(add(body, "mdiv"), "score")
    begins = only is None or 0 in only
    begun = score if begins or only is None else with_what_holds(score, min(only))
    _score_definition(score_element, begun, view, for_engraving, begins, under)
    section = add(score_element, "section")
    breaks = set(starts or system_starts(notated))
    parent = section
    rests = tab_rests or not view.has_staff
    writer = MeasureWriter(score, notated, view, for_engraving, rests, breaks)
    below = UnderWriter(under, for_engraving) if under is not None else None
    for index, measure in enumerate(notated):
        if only is not None and index not in only:
            continue
        # Without any break in the file, Verovio would break lines of its own choice.
        if index in breaks and (index or for_engraving):
            add(section if measure.measure.ending or parent is section else parent, "sb")
        if measure.measure.ending is not None:
            parent = add(section, "ending", n=f"{measure.measure.ending}.", lform="solid")
            if is_open(score.measures, index):
                parent.set("lendsym", "none")
        if (change := measure.measure.change) is not None:
            _changed(parent, change, view, for_engraving)
        element = writer.measure(parent, measure)
        if below is not None:
            below.measure(element, index)
        if measure.measure.ending_stop:
            parent = section
    # Elements were made without a namespace to keep the code short; the root declares it.
    text = etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=True)
    return bytes(text)


def _header(root: etree._Element, score: Score) -> None:
    description = add(add(root, "meiHead"), "fileDesc")
    titles = add(description, "titleStmt")
    add(titles, "title", score.title)
    others = []
    for row, words in said_in(score):
        if row.kept.path == CREATOR:
            add(add(titles, "respStmt"), "persName", words, role=row.kept.value)
        else:
            others.append(row.on_the_sheet(words))
    add(description, "pubStmt")
    if others or score.notes:
        notes = add(description, "notesStmt")
        for text in (*others, *score.notes):
            if text:
                add(notes, "annot", text)


def _score_definition(
    parent: etree._Element,
    score: Score,
    view: View,
    for_engraving: bool,
    with_meter: bool,
    under: Under | None,
) -> None:
    definition = add(parent, "scoreDef")
    if for_engraving:
        definition.set("mnum.visible", "false")
    outer = group = add(definition, "staffGrp")
    if under is not None:  # bar lines do not go through from one version to the other
        group = add(outer, "staffGrp")
    group.set("bar.thru", "true")
    if view.has_staff:
        _staff_definition(group, score, with_meter)
    if view.has_tab:
        _tab_definition(group, score, with_meter and not view.has_staff)
    if under is not None:
        _tab_definition(outer, under.score, with_meter and not view.has_staff, UNDER_STAFF)


def _meter(target: etree._Element, meter: Meter) -> None:
    target.set("meter.count", str(meter.count))
    target.set("meter.unit", str(meter.unit))
    if meter.symbol:
        target.set("meter.sym", meter.symbol)


def _changed(parent: etree._Element, change: Change, view: View, for_engraving: bool) -> None:
    """What is different from the next measure on. Verovio sets it once more, as a caution, at the
    end of a system before it. Engraved, it stands on the upper staff, as at the beginning; who
    plays the file (as Verovio does) asks for it of the score."""
    definition = etree.Element("scoreDef")
    target = definition
    if for_engraving:
        target = add(add(definition, "staffGrp"), "staffDef", n=1 if view.has_staff else 2)
    if change.key is not None and view.has_staff:
        _key(target, change.key)
    if change.meter is not None:
        _meter(target, change.meter)
    if change.setup is not None and view.has_tab and not for_engraving:
        tab = add(add(definition, "staffGrp"), "staffDef", n=2)
        _courses(tab, change.setup)
        parent.append(definition)
        return
    if len(target.attrib) > (target is not definition):
        parent.append(definition)


def _key(target: etree._Element, key: Key) -> None:
    fifths = key.fifths
    target.set("keysig", f"{abs(fifths)}{'s' if fifths > 0 else 'f'}" if fifths else "0")


def _staff_definition(group: etree._Element, score: Score, with_meter: bool) -> None:
    staff = add(group, "staffDef", n=1, lines=5)
    sign, line = score.setup.instrument.clef
    staff.set("clef.shape", sign)
    staff.set("clef.line", str(line))
    if score.setup.instrument.octave_written:
        staff.set("clef.dis", "8")
        staff.set("clef.dis.place", "below")
    _key(staff, score.key)
    if with_meter:
        _meter(staff, score.meter)


def _tab_definition(group: etree._Element, score: Score, with_meter: bool, number: int = 2) -> None:
    setup = score.setup
    tab = add(
        group, "staffDef", n=number, lines=setup.instrument.strings, notationtype="tab.guitar"
    )
    if with_meter:
        _meter(tab, score.meter)
    add(tab, "clef", shape="TAB")
    _courses(tab, setup)


def _courses(tab: etree._Element, setup: Setup) -> None:
    tuning = add(tab, "tuning")
    for string, pitch in enumerate(setup.tuning.pitches, start=1):
        course = add(tuning, "course", n=string, pname=pitch.step.lower(), oct=pitch.octave)
        if pitch.alter:
            course.set("accid", ACCIDENTALS[pitch.alter])
