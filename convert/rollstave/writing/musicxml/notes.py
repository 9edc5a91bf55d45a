"""Notes of both staves. MusicXML 4.0, the note element and its notations."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from lxml import etree

from rollstave.grid.typed import Link
from rollstave.notating.notation import GraceHead, Head, NotatedMeasure, Symbol, Voice
from rollstave.notating.syllables import syllable_of
from rollstave.pitch import Pitch
from rollstave.score.letters import finger_letters
from rollstave.score.links import LinkPair, NoteAddress, goes_on
from rollstave.score.records import Measure, Note, Score
from rollstave.vocabulary.signs import HELD, techniques_of
from rollstave.vocabulary.technique import Technique
from rollstave.writing.musicxml.accidentals import add_accidental
from rollstave.writing.musicxml.techniques import (
    ALONE,
    Leading,
    Said,
    add_group,
    add_head,
    add_said,
    of_event,
    of_links,
    of_note,
)
from rollstave.writing.xml import add

_STAFF_VOICE, _TAB_VOICE = 1, 5
_BEAMS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4}
# A fret is a whole number in MusicXML 4.0: the extra fret of a diatonic neck is said beside it.
HALF_FRET = "half fret"
# A dead stroke has no fret, but readers of a tab want a fret beside each string: Verovio does not
# end without one. The head, an x, says that nothing is stopped.
_NO_FRET = 0
_GROUPS_OF_ALL = ("tuplet", "technical")  # those that a note may have without any technique
# What stands in the notations of a note, in the order in which it is written.
_GROUPS = (
    *("tied", "slur", "tuplet", "slide", "ornaments", "technical", "articulations"),
    "arpeggiate",
)


class NoteWriter:
    """Writes the symbols of a score as note elements, for the staff and for the tab."""

    def __init__(
        self, score: Score, divisions: int, links: Sequence[LinkPair], alone: bool = False
    ) -> None:
        self.score, self.meters = score, score.meters
        self.alone = alone  # a tab that is the only staff of its part
        self.divisions = divisions
        self.fingers = finger_letters(score)
        kept = [pair for pair in links if pair.kind not in HELD or goes_on(score.measures, pair)]
        self.starts: dict[NoteAddress, Link] = {pair.start: pair.kind for pair in kept}
        self.ends: dict[NoteAddress, Link] = {pair.end: pair.kind for pair in kept}
        self.voice = 1
        # Where passages under a sign of an octave begin and end: measure, and symbol in it.
        self.shifts: tuple[set[tuple[int, int]], set[tuple[int, int]]] = set(), set()
        self._tuplet_starts: dict[int, Symbol] = {}
        self._tuplet_stops: dict[int, Symbol] = {}
        self._beam_marks: dict[int, list[tuple[int, str]]] = {}  # by the identity of a symbol
        self._parts: dict[int, int] = {}
        self._in_word: set[int] = set()  # the verses that are in the midst of a word

    def ticks(self, duration: Fraction) -> int:
        """A duration in divisions."""
        return duration.numerator * self.divisions // duration.denominator

    def staff_notes(
        self, parent: etree._Element, measure: Measure, symbol: Symbol, whole_rest: bool
    ) -> None:
        self._chord(parent, measure, symbol, whole_rest, tab=False)

    def tab_notes(
        self, parent: etree._Element, measure: Measure, symbol: Symbol, whole_rest: bool
    ) -> None:
        self._chord(parent, measure, symbol, whole_rest, tab=True)

    def _chord(
        self,
        parent: etree._Element,
        measure: Measure,
        symbol: Symbol,
        whole_rest: bool,
        tab: bool,
    ) -> None:
        if symbol.is_rest:
            hidden = symbol.unseen or (tab and not self.alone)
            note = add(parent, "note", print_object="no" if hidden else None)
            add(note, "rest", measure="yes" if whole_rest else None)
            self._timing(note, symbol, tab, whole_rest)
            self._staff(note, tab)
            self._tuplet_only(note, measure, symbol)
            return
        for number, group in enumerate(symbol.grace):
            self._grace(parent, measure, symbol, number, group, tab)
        # Staff chords go from the lowest pitch, tab chords from string 1: both are usual.
        heads = sorted(
            symbol.heads,
            key=lambda h: (h.note.string if tab else h.note.pitch.midi, h.note.string),
        )
        for index, head in enumerate(heads):
            self._note(parent, measure, symbol, head, index > 0, tab)

    def _grace(
        self,
        parent: etree._Element,
        measure: Measure,
        symbol: Symbol,
        number: int,
        group: Sequence[GraceHead],
        tab: bool,
    ) -> None:
        """The grace notes struck together; a lone one is stroked, several are beamed."""
        several = len(symbol.grace) > 1
        last = number == len(symbol.grace) - 1
        for position, head in enumerate(group):
            note = head.note
            element = add(parent, "note")
            add(element, "grace", slash=None if several else "yes")
            if position:
                add(element, "chord")
            _pitch(element, note.pitch)
            add(element, "voice", self._voice(tab))
            add(element, "type", "16th" if several else "eighth")
            if not tab:
                add_accidental(element, head)
            add(element, "stem", "up")
            self._staff(element, tab)
            if several and not position:
                mark = "end" if last else "continue" if number else "begin"
                for level in (1, 2):
                    add(element, "beam", mark, number=level)
            address = NoteAddress(
                measure=measure.index, event=symbol.event_index, string=note.string, grace=number
            )
            leading = Leading(ends=self.ends.get(address), starts=self.starts.get(address))
            said = [*of_links(leading, note.string, tab)]
            notations = etree.Element("notations")
            for name in ("slur", "slide"):
                add_group(notations, name, said)
            technical = etree.Element("technical")
            if tab:
                add(technical, "string", note.string)
                add(technical, "fret", note.fret)
            _add_technical(technical, said, half=tab and note.half)
            if len(technical):
                notations.append(technical)
            if len(notations):
                element.append(notations)

    def _note(
        self,
        parent: etree._Element,
        measure: Measure,
        symbol: Symbol,
        head: Head,
        chord: bool,
        tab: bool,
    ) -> None:
        element = add(parent, "note")
        note = head.note
        if chord:
            add(element, "chord")
        _pitch(element, note.pitch)
        add(element, "duration", self.ticks(symbol.duration))
        leading = self._leading(measure, symbol, note)
        if head.tie_from or (leading.ends and leading.ends in HELD):
            add(element, "tie", type="stop")
        if head.tie_to or (leading.starts and leading.starts in HELD):
            add(element, "tie", type="start")
        add(element, "voice", self._voice(tab))
        add(element, "type", symbol.value)
        for _ in range(symbol.dots):
            add(element, "dot")
        if not tab:
            add_accidental(element, head)
        self._time_modification(element, symbol)
        if symbol.value != "whole":
            add(element, "stem", "up" if symbol.stem_up or (tab and self.voice == 1) else "down")
        rows = techniques_of(note)
        if rows:
            add_head(element, rows)
        self._staff(element, tab)
        if not chord:
            self._beams(element, measure, symbol)
        self._notations(element, measure, symbol, head, leading, rows, chord, tab)
        if not chord and not tab:
            for verse, text in self._notated.sung(symbol):
                self._lyric(element, verse, text)

    def _staff(self, note: etree._Element, tab: bool) -> None:
        """The staff of a note, in a part that has several."""
        if not self.alone:
            add(note, "staff", 2 if tab else 1)

    def _timing(self, note: etree._Element, symbol: Symbol, tab: bool, whole_rest: bool) -> None:
        add(note, "duration", self.ticks(symbol.duration))
        add(note, "voice", self._voice(tab))
        if not whole_rest:
            add(note, "type", symbol.value)
            for _ in range(symbol.dots):
                add(note, "dot")
            self._time_modification(note, symbol)

    @staticmethod
    def _time_modification(note: etree._Element, symbol: Symbol) -> None:
        if symbol.tuplet is not None:
            modification = add(note, "time-modification")
            add(modification, "actual-notes", 3)
            add(modification, "normal-notes", 2)

    # Beams and tuplets need the neighbours of a symbol in its measure -------------------------

    def _voice(self, tab: bool) -> int:
        return (_TAB_VOICE if tab else _STAFF_VOICE) + self.voice - 1

    def begin_measure(self, notated: NotatedMeasure, voice: Voice) -> None:
        """Tell the writer the measure that it writes next, and which voice of it."""
        symbols = voice.symbols
        self._notated, self.voice = notated, voice.number
        self._parts = {}
        groups: dict[int, list[Symbol]] = {}
        self._tuplet_starts, self._tuplet_stops = {}, {}
        for symbol in symbols:
            self._parts[symbol.event_index] = symbol.part
            if symbol.tuplet is not None:
                self._tuplet_starts.setdefault(symbol.tuplet, symbol)
                self._tuplet_stops[symbol.tuplet] = symbol
            if symbol.beam is not None:
                groups.setdefault(symbol.beam, []).append(symbol)
        self._beam_marks = {
            id(symbol): marks
            for group in groups.values()
            for symbol, marks in zip(group, _beam_marks(group).values(), strict=True)
        }

    def _beams(self, element: etree._Element, measure: Measure, symbol: Symbol) -> None:
        for number, mark in self._beam_marks[id(symbol)] if symbol.beam is not None else ():
            add(element, "beam", mark, number=number)

    def _tuplet_mark(self, symbol: Symbol) -> list[str]:
        if symbol.tuplet is None:
            return []
        marks = []
        if self._tuplet_starts[symbol.tuplet] is symbol:
            marks.append("start")
        if self._tuplet_stops[symbol.tuplet] is symbol:
            marks.append("stop")
        return marks

    def _tuplet_only(self, note: etree._Element, measure: Measure, symbol: Symbol) -> None:
        marks = self._tuplet_mark(symbol)
        if marks:
            notations = add(note, "notations")
            for mark in marks:
                add(notations, "tuplet", type=mark, number=1)

    def _lyric(self, element: etree._Element, verse: int, text: str) -> None:
        """A syllable; a hyphen after it says that its word goes on."""
        words, goes_on = syllable_of(text)
        kinds = {
            (False, False): "single",
            (False, True): "begin",
            (True, True): "middle",
            (True, False): "end",
        }
        lyric = add(element, "lyric", number=verse)
        add(lyric, "syllabic", kinds[verse in self._in_word, goes_on])
        add(lyric, "text", words)
        if goes_on:
            self._in_word.add(verse)
        else:
            self._in_word.discard(verse)

    def _leading(self, measure: Measure, symbol: Symbol, note: Note) -> Leading:
        """The links of a note that begin and end at this part of it."""
        address = NoteAddress(measure.index, symbol.event_index, note.string)
        starts, ends = self.starts.get(address), self.ends.get(address)
        if starts is None and ends is None and note.link is None:
            return ALONE
        first, last = symbol.part == 0, symbol.part == self._parts[symbol.event_index]
        return Leading(
            reached=note.link if first else None,
            ends=ends if first else None,
            starts=starts if last else None,
        )

    def _notations(
        self,
        element: etree._Element,
        measure: Measure,
        symbol: Symbol,
        head: Head,
        leading: Leading,
        rows: Sequence[Technique],
        chord: bool,
        tab: bool,
    ) -> None:
        first = symbol.part == 0
        said = [*of_links(leading, head.note.string, tab)] if leading is not ALONE else []
        if first and rows:
            said += of_note(head.note, rows)
        event = measure.events[symbol.event_index]
        if first:
            said += of_event(event, chord)
        notations = etree.Element("notations")
        if head.tie_from:
            add(notations, "tied", type="stop")
        if head.tie_to:
            add(notations, "tied", type="start")
        used = {one.element.path.partition("/")[0] for one in said}
        for name in _GROUPS if said else _GROUPS_OF_ALL:
            if name == "tuplet":
                for mark in self._tuplet_mark(symbol) if not chord else ():
                    add(notations, "tuplet", type=mark, number=1)
            elif name == "technical":
                self._technical(notations, head.note, said, first, tab)
            elif name in used:
                add_group(notations, name, said)
        if len(notations):
            element.append(notations)

    def _technical(
        self, notations: etree._Element, note: Note, said: Sequence[Said], first: bool, tab: bool
    ) -> None:
        technical = etree.Element("technical")
        if tab:
            add(technical, "string", note.string)
            add(technical, "fret", _NO_FRET if note.fret is None else note.fret)
            if first and note.left_finger is not None:
                add(technical, "fingering", note.left_finger)
            if first and note.finger is not None:
                add(
                    technical,
                    "pluck",
                    self.fingers[note.finger].lower(),
                    placement="below",
                    font_style="italic" if note.inferred_finger else None,
                )
        _add_technical(technical, said, half=tab and note.half)
        if len(technical):
            notations.append(technical)


def _pitch(element: etree._Element, sounding: Pitch) -> None:
    pitch = add(element, "pitch")
    add(pitch, "step", sounding.step)
    if sounding.alter:
        add(pitch, "alter", sounding.alter)
    add(pitch, "octave", sounding.octave)


def _add_technical(technical: etree._Element, said: Sequence[Said], half: bool) -> None:
    """What is technical of how a note is played: links, the extra fret, marks."""
    found = [one for one in said if one.element.path.startswith("technical/")] if said else []
    for one in found:
        if one.element.on != "note":
            add_said(technical, one)
    if half:
        add(technical, "other-technical", HALF_FRET)
    for one in found:
        if one.element.on == "note":
            add_said(technical, one)


def _beam_marks(group: Sequence[Symbol]) -> dict[int, list[tuple[int, str]]]:
    """Beam numbers and values for each symbol of a group (MusicXML 4.0, beam)."""
    levels = [_BEAMS.get(s.value, 0) for s in group]
    marks: dict[int, list[tuple[int, str]]] = {}
    for index, level in enumerate(levels):
        marks[index] = []
        for number in range(1, level + 1):
            before = index > 0 and levels[index - 1] >= number
            after = index + 1 < len(levels) and levels[index + 1] >= number
            if before and after:
                mark = "continue"
            elif after:
                mark = "begin"
            elif before:
                mark = "end"
            else:
                mark = "backward hook" if index else "forward hook"
            marks[index].append((number, mark))
    return marks
