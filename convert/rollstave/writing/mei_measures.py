"""Measures in MEI 5: staff and tab, what joins their notes, what stands over them.

Staff and tab notes carry ids (:mod:`rollstave.writing.note_ids`). Verovio aborts on frets that are
no small integers, so frets are written as integers of the score and nothing typed reaches it raw;
what a digit cannot show is drawn later.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from fractions import Fraction

from lxml import etree

from rollstave.grid.typed import Bar
from rollstave.notating.closing import closing_bar
from rollstave.notating.notation import (
    Head,
    NotatedMeasure,
    Symbol,
    Voice,
    last_parts,
    middle_line,
)
from rollstave.notating.octaves import Passage, passages
from rollstave.notating.syllables import syllable_of
from rollstave.score.links import LinkPair, NoteAddress, links_of
from rollstave.score.records import ChordName, Measure, Score
from rollstave.vocabulary.note_values import NOTE_VALUES
from rollstave.vocabulary.signs import LINKS, techniques_of
from rollstave.writing.frets import digits, fret_keeping_room
from rollstave.writing.mei_even import Rooms
from rollstave.writing.mei_joins import join_notes
from rollstave.writing.mei_notes import (
    XML_ID,
    head_id,
    nested,
    number_of,
    pitched,
    place_tuplet,
    reaches_on,
    rest_measure,
    set_stem,
    set_strokes,
    symbol_id,
)
from rollstave.writing.note_ids import STAFF_PREFIX, TAB_PREFIX, grace_id
from rollstave.writing.options import View
from rollstave.writing.xml import add, clean

_VALUES = {value.name: value.mei for value in NOTE_VALUES}
_LEFT = {Bar.REPEAT_START: "rptstart", Bar.DOUBLE: "dbl"}
_RIGHT = {Bar.REPEAT_END: "rptend", Bar.DOUBLE: "dbl", Bar.FINAL: "end"}
# Of the size in which Verovio sets chord names, so that it keeps a little less than they take: it
# stretches what it keeps with the rest of the line.
_CHORD_ROOM, _CHORD_APART = "95%", "n"  # and after each name the width of a letter
_MOST_KEPT = 1_000_000  # Verovio aborts on a fret that is no integer of its own
_SHORT = {"16th", "32nd", "64th"}
_TWO_DIGITS, _THREE_DIGITS, _FOUR_DIGITS = 10, 100, 1000


class MeasureWriter:
    """Writes measures; keeps what one measure must know of the one before."""

    def __init__(
        self,
        score: Score,
        notated: Sequence[NotatedMeasure],
        view: View,
        for_engraving: bool,
        tab_rests: bool,
        starts: Collection[int] = (),
    ) -> None:
        self.tab_rests = tab_rests
        self.octaves: dict[int, list[Passage]] = {}
        self.lowered: set[tuple[int, int]] = set()  # measure and event
        if view.has_staff:
            self._take_octaves(score, notated, starts)
        self.score, self.meters = score, score.meters
        self.notated = notated
        self.last_part = last_parts(notated)
        self.links: dict[int, list[LinkPair]] = {}
        self.leading: set[tuple[int, int, int]] = set()  # measure, event, string
        self.after_short: set[tuple[int, int, int]] = set()  # reached from sixteenths and shorter
        values = {
            (m.measure.index, s.event_index, s.part): s.value for m in notated for s in m.symbols
        }
        for pair in links_of(score.measures):
            self.links.setdefault(pair.start.measure, []).append(pair)
            if pair.start.grace is None:
                self.leading.add(self._at(pair.start))
                part = self.last_part.get(self._at(pair.start), 0)
                if values.get((pair.start.measure, pair.start.event, part)) in _SHORT:
                    self.after_short.add(self._at(pair.end))
        self.view = view
        self.for_engraving = for_engraving
        self.rooms = Rooms()
        self.in_word: set[int] = set()  # the verses that are in the midst of a word

    @staticmethod
    def _at(address: NoteAddress) -> tuple[int, int, int]:
        return address.measure, address.event, address.string

    def _take_octaves(
        self, score: Score, notated: Sequence[NotatedMeasure], starts: Collection[int]
    ) -> None:
        for passage in passages(notated, middle_line(score.setup.instrument), starts):
            self.octaves.setdefault(passage.first[0], []).append(passage)
            first, last = passage.first, passage.last
            for index in range(first[0], last[0] + 1):
                for place, symbol in enumerate(notated[index].symbols):
                    if first <= (index, place) <= last:
                        self.lowered.add((index, symbol.event_index))

    def measure(self, parent: etree._Element, notated: NotatedMeasure) -> etree._Element:
        """Write a measure; its element."""
        measure = notated.measure
        element = add(parent, "measure", n=measure.number)
        element.set(XML_ID, f"m{measure.index}")
        if measure.implicit:
            element.set("metcon", "false")
        if measure.left in _LEFT:
            element.set("left", _LEFT[measure.left])
        bar = closing_bar(self.score.measures, measure)
        if bar in _RIGHT:
            element.set("right", _RIGHT[bar])
        for number, tab in ((1, False), (2, True)):
            if not (self.view.has_tab if tab else self.view.has_staff):
                continue
            staff = add(element, "staff", n=number)
            hangs = tab and self._hangs(notated)
            if hangs:  # Verovio has stems under the tab for a second layer
                add(add(staff, "layer", n=1), "mSpace")
            for voice in notated.layers:
                layer = add(staff, "layer", n=voice.number + hangs)
                if voice.whole_rest:
                    seen = (not tab or self.tab_rests) and not voice.symbols[0].unseen
                    rest_measure(layer, measure, tab, seen, voice.number)
                else:
                    self._layer(layer, notated, voice, tab)
        if self.view.has_staff:
            pairs = self.links.get(measure.index, ())
            join_notes(element, pairs, self.score, self.last_part, self.for_engraving)
            for passage in self.octaves.get(measure.index, ()):
                self._octave(element, passage)
        if self.for_engraving:
            self._room_for_chords(element, measure)
            return element
        if measure.index == 0:
            pace = dict(self.score.said).get("pace")
            tempo = add(element, "tempo", pace, staff=1, tstamp=1)
            tempo.set("midi.bpm", f"{float(self.score.sounding_tempo):g}")
        elif measure.change is not None and measure.change.tempo is not None:
            tempo = add(element, "tempo", staff=1, tstamp=1)
            tempo.set("midi.bpm", f"{float(measure.change.tempo):g}")
        self._over(element, notated)
        self._left_fingers(element, notated)
        return element

    def _hangs(self, notated: NotatedMeasure) -> bool:
        """True if the stems of the tab hang under it, clear of all that stands over its digits, as
        they do where no second voice needs that ground (common practice, no source)."""
        return self.for_engraving and not notated.voices

    def _layer(
        self, layer: etree._Element, notated: NotatedMeasure, voice: Voice, tab: bool
    ) -> None:
        symbols = voice.symbols
        stack: list[tuple[int, etree._Element]] = [(len(symbols), layer)]
        spans: dict[int, list[tuple[int, str]]] = {}
        for start, end, kind in nested(symbols):
            spans.setdefault(start, []).append((end, kind))
        for index, symbol in enumerate(symbols):
            while stack[-1][0] <= index:
                stack.pop()
            # Before the beam that its note begins, or the beam would begin with it.
            outside = index in spans
            if symbol.grace and outside:
                self._grace(stack[-1][1], notated.measure, symbol, tab)
            for end, kind in spans.get(index, ()):
                group = add(stack[-1][1], kind)
                if kind == "tuplet":
                    group.set("num", "3")
                    group.set("numbase", "2")
                    if tab or (self.view.has_tab and not notated.voices):
                        place_tuplet(group, symbols[index:end], tab, self._hangs(notated))
                stack.append((end, group))
            if symbol.grace and not outside:
                self._grace(stack[-1][1], notated.measure, symbol, tab)
            crowded = bool(symbol.grace or (index and reaches_on(symbols[index - 1])))
            self._symbol(stack[-1][1], notated, symbol, tab, crowded)

    def _grace(self, parent: etree._Element, measure: Measure, symbol: Symbol, tab: bool) -> None:
        """The grace notes before a symbol. For engraving they have no stems: Verovio would join
        them to the beam that they stand in. On the tab it would give a grace ``tabGrp`` time of
        its own, so there each group is one plain note that keeps the room; the sheet draws it."""
        for number, group in enumerate(symbol.grace):
            at = (measure.index, symbol.event_index, number)
            if self.for_engraving:
                timing = {"grace": "acc", "dur": "4", "stem.visible": "false"}
            else:
                timing = {"grace": "unacc", "dur": "8"}
            if tab and self.for_engraving:
                widest = max(group, key=lambda h: len(h.note.fret_text)).note
                # More digits keep room for the arc or the line that leads on, or for the arrow
                # of a brush.
                leads = any(head.note.leads for head in group)
                brush = measure.events[symbol.event_index].brush
                kept = _FOUR_DIGITS if brush or leads else _TWO_DIGITS
                note = add(parent, "note", **timing)
                note.set(XML_ID, grace_id(TAB_PREFIX, *at, group[0].note.string))
                note.set("tab.course", str(int(widest.string)))
                note.set("tab.fret", str(max(int(widest.fret), kept)))
                continue
            if tab:
                holder = add(parent, "tabGrp", **timing)
            else:
                holder = add(parent, "chord", **timing) if len(group) > 1 else parent
            for head in group:
                if tab:
                    note = add(holder, "note")
                    note.set("tab.course", str(int(head.note.string)))
                    note.set("tab.fret", str(int(head.note.fret)))
                else:
                    lower = (measure.index, symbol.event_index) in self.lowered
                    note = pitched(holder, head, lower, engraved=False)
                note.set(
                    XML_ID, grace_id(TAB_PREFIX if tab else STAFF_PREFIX, *at, head.note.string)
                )
                if holder is parent:
                    for key, value in timing.items():
                        note.set(key, value)

    def _symbol(
        self,
        parent: etree._Element,
        notated: NotatedMeasure,
        symbol: Symbol,
        tab: bool,
        crowded: bool,
    ) -> None:
        """Write a symbol. A sign of the staff that only warns keeps its full room where it is
        ``crowded``: after a grace note, a dot or a flag."""
        measure = notated.measure
        timing = {"dur": _VALUES[symbol.value], "dots": symbol.dots or None}
        own_id = symbol_id(measure, symbol)
        if symbol.is_rest:
            # One rest is enough for the eye: the tab keeps the time with an invisible space.
            seen = (not tab or self.tab_rests) and not symbol.unseen
            rest = add(parent, "rest" if seen else "space", **timing)
            rest.set(XML_ID, f"{'tr' if tab else 'nr'}{own_id}")
            return
        if tab:
            group = add(parent, "tabGrp", **timing)
            group.set(XML_ID, f"tg{own_id}")
            add(group, "tabDurSym")
            for head in symbol.heads:
                note = add(group, "note")
                note.set(XML_ID, head_id(TAB_PREFIX, measure, symbol, head))
                note.set("tab.course", str(int(head.note.string)))
                note.set("tab.fret", str(self._fret(notated, symbol, head)))
            return
        holder = parent
        lower = (measure.index, symbol.event_index) in self.lowered
        if len(symbol.heads) > 1:
            holder = add(parent, "chord", **timing)
            holder.set(XML_ID, f"ng{own_id}")
            if not lower:
                set_stem(holder, symbol)
        for head in symbol.heads:
            note = self._staff_note(holder, measure, symbol, head, crowded)
            if holder is parent:
                note.set("dur", _VALUES[symbol.value])
                if symbol.dots:
                    note.set("dots", str(symbol.dots))
                if not lower:
                    set_stem(note, symbol)
        struck = holder if holder is not parent else note
        if symbol.part == 0 and not (self.for_engraving and self.view.has_tab):
            set_strokes(struck, measure.events[symbol.event_index])
        for verse, text in notated.sung(symbol):
            self._syllable(struck, verse, text)

    def _fret(self, notated: NotatedMeasure, symbol: Symbol, head: Head) -> int:
        """The fret as a number. For engraving one that keeps room for what the sheet writes, and on
        either side of a link for its arc and letter, or the arrow of a brush."""
        note, measure = head.note, notated.measure
        if not self.for_engraving:
            return int(note.fret or 0)
        words = digits(note, head.tie_from)
        kept = fret_keeping_room(words) if len(words) > 1 else int(note.fret or 0)
        sung = max((s for _, s in notated.sung(symbol)), key=len, default="")
        if sung and not self.view.has_staff:
            # Under the tab alone Verovio sets no words that would keep their own room.
            kept = max(kept, min(_MOST_KEPT, fret_keeping_room(sung)))
        kept = max(kept, self.rooms.least_fret(notated))
        if note.bend is not None and head.tie_to:  # an arrow, and an arc after it
            kept = max(kept, 100 * _FOUR_DIGITS)
        here = measure.index, symbol.event_index, note.string
        if note.link is not None:
            # A letter needs more than a line; a short note is not to look longer than others.
            row, tight = LINKS[note.link], here in self.after_short and len(words) < 2
            wide = row.letter or (row.joins == "gliss" and self.view.has_staff)
            return max(kept, (kept, _TWO_DIGITS, _THREE_DIGITS)[1 + bool(wide) - tight])
        return max(kept, _TWO_DIGITS) if here in self.leading else kept

    def _staff_note(
        self, parent: etree._Element, measure: Measure, symbol: Symbol, head: Head, crowded: bool
    ) -> etree._Element:
        lower = (measure.index, symbol.event_index) in self.lowered
        element = pitched(parent, head, lower, self.for_engraving and not crowded)
        element.set(XML_ID, head_id(STAFF_PREFIX, measure, symbol, head))
        tie = {(False, True): "i", (True, True): "m", (True, False): "t"}.get(
            (head.tie_from, head.tie_to)
        )
        if tie:
            element.set("tie", tie)
        for row in techniques_of(head.note):
            if row.head is not None:
                element.set(*row.head)
        return element

    def _syllable(self, holder: etree._Element, verse: int, text: str) -> None:
        words, goes_on = syllable_of(text)
        syllable = add(add(holder, "verse", n=verse), "syl", words)
        if goes_on:
            syllable.set("con", "d")
            syllable.set("wordpos", "m" if verse in self.in_word else "i")
            self.in_word.add(verse)
        elif verse in self.in_word:
            syllable.set("wordpos", "t")
            self.in_word.discard(verse)

    def _octave(self, element: etree._Element, passage: Passage) -> None:
        """The sign over a passage that is written an octave lower."""
        ends = []
        for index, place in (passage.first, passage.last):
            symbol = self.notated[index].symbols[place]
            measure = self.notated[index].measure
            several = len(symbol.heads) > 1
            one = head_id(STAFF_PREFIX, measure, symbol, symbol.heads[0])
            ends.append(f"ng{symbol_id(measure, symbol)}" if several else one)
        octave = add(element, "octave", staff=1, dis=8, startid=f"#{ends[0]}", endid=f"#{ends[1]}")
        octave.set("dis.place", "above")

    def _over(self, element: etree._Element, notated: NotatedMeasure) -> None:
        measure = notated.measure
        if measure.section:
            mark = add(element, "reh", measure.section, staff=1, tstamp=1, place="above")
            mark.set(XML_ID, f"section{measure.index}")
        for number, chord in enumerate(measure.chords):
            harm = self._chord(element, measure, chord)
            harm.text = clean(chord.text)
            harm.set(XML_ID, f"chord{measure.index}-{number}")

    def _chord(self, element: etree._Element, measure: Measure, chord: ChordName) -> etree._Element:
        at = number_of(chord.onset * Fraction(self.meters[measure.index].unit, 4) + 1)
        staff = 1 if self.view.has_staff else 2
        return add(element, "harm", staff=staff, place="above", tstamp=at)

    def _room_for_chords(self, element: etree._Element, measure: Measure) -> None:
        """The chord names of a measure that changes chords, and the one that comes after, so that
        Verovio keeps room for them; the sheet sets them itself."""
        before = self.score.measures[measure.index - 1] if measure.index else measure
        if len(measure.chords) > 1 or len(before.chords) > 1:
            for chord in measure.chords:
                harm = self._chord(element, measure, chord)
                add(harm, "rend", clean(chord.text) + _CHORD_APART, fontsize=_CHORD_ROOM)

    def _left_fingers(self, element: etree._Element, notated: NotatedMeasure) -> None:
        """The fingers of the left hand that are written (MEI 5.1, ``fing``)."""
        prefix = TAB_PREFIX if self.view.has_tab else STAFF_PREFIX
        for symbol in notated.symbols:
            for head in symbol.heads:
                if head.note.left_finger is not None and symbol.part == 0:
                    note = head_id(prefix, notated.measure, symbol, head)
                    staff = 2 if self.view.has_tab else 1
                    add(
                        element,
                        "fing",
                        head.note.left_finger,
                        staff=staff,
                        place="below",
                        startid=f"#{note}",
                    )
