"""Walking a file: lines become headings, systems, words, and in the end tunes of grid measures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from rollstave.grid.model import (
    Attachment,
    Bar,
    Column,
    FreeText,
    GridMeasure,
    GridTune,
    Heading,
    LineKind,
    Link,
    Stroke,
)
from rollstave.instruments.model import Instrument
from rollstave.problems import Place, ProblemList
from rollstave.reading import attach
from rollstave.reading.decode import Line, split_lines
from rollstave.reading.headings import read_headings, read_section
from rollstave.reading.lines import Row, as_row
from rollstave.reading.rows import Slot, cut, trailing_text
from rollstave.reading.strokes import into_columns, read_cell

# How far from its note a word may stand and still belong to it, in characters.
_REACH = {
    LineKind.CHORDS: (2, 2),
    LineKind.COUNTS: (1, 1),
    LineKind.PICKING: (1, 1),
    LineKind.DURATIONS: (1, 1),
    LineKind.LYRICS: (2, 3),
}
_LONGEST_TITLE = 70


@dataclass
class _Tune:
    """A tune while it is read."""

    first_line: int
    headings: list[Heading] = field(default_factory=list)
    measures: list[GridMeasure] = field(default_factory=list)
    notes: list[FreeText] = field(default_factory=list)
    labels: tuple[str, ...] = ()
    section: str | None = None
    carried: dict[int, Link] = field(default_factory=dict)
    struck: set[int] = field(default_factory=set)
    systems: int = 0

    def has_heading(self, key: str) -> bool:
        return any(h.key == key for h in self.headings)

    def finish(self, strings: int) -> GridTune:
        return GridTune(
            tuple(self.headings),
            _close_endings(self.measures),
            tuple(self.notes),
            self.labels,
            strings,
            self.first_line,
        )


def read_grid(text: str, instrument: Instrument, problems: ProblemList) -> tuple[GridTune, ...]:
    """The tunes of a text as typed. Problems are added to ``problems``; nothing is raised."""
    lines = split_lines(text)
    rows = [as_row(line) for line in lines]
    if not any(rows):
        first = next((line for line in lines if not line.blank), None)
        if first is None:
            problems.error("empty", "the file is empty; there is no tab to read", Place(1, 1))
        else:
            problems.error(
                "no-tab",
                f"no tab found: a system is {instrument.strings} rows of dashes and fret numbers, "
                "one row for each string, with bars (|) between the measures",
                first.place(0),
            )
        return ()
    return _Walk(lines, rows, instrument, problems).run()


class _Walk:
    """One pass over the lines of a file."""

    def __init__(
        self,
        lines: Sequence[Line],
        rows: Sequence[Row | None],
        instrument: Instrument,
        problems: ProblemList,
    ) -> None:
        self.lines = lines
        self.rows = rows
        self.instrument = instrument
        self.problems = problems
        self.tune = _Tune(first_line=1)
        self.tunes: list[_Tune] = [self.tune]
        self.over: list[tuple[LineKind, attach.Word, Line]] = []

    def run(self) -> tuple[GridTune, ...]:
        index = 0
        while index < len(self.lines):
            if self.rows[index] is not None:
                index = self._systems(index)
                continue
            if not self.lines[index].blank:
                self._words(index)
            index += 1
        self._leftover()
        strings = self.instrument.strings
        return tuple(t.finish(strings) for t in self.tunes if t.measures)

    # Words between systems -----------------------------------------------------------------

    def _words(self, index: int) -> None:
        """A line of words that is under no system: over one, a heading, a section, or text."""
        line = self.lines[index]
        if self._leads_to_rows(index) and (found := attach.classify(line, attach.ABOVE)):
            kind, words = found
            # A lone letter is a section's name unless it stands over a system's own bars.
            if not (len(words) == 1 and read_section(line) and words[0].start < 2):
                self.over.extend((kind, word, line) for word in words)
                return
        if headings := read_headings(line):
            self._headings(headings)
            return
        if section := read_section(line) or self._plain_section(index):
            self.tune.section, rest = section
            if rest:
                self._note(line, line.text.find(rest), rest)
            return
        if self._is_title(line):
            self.tune.headings.append(Heading("title", line.text.strip(), line.place(0)))
            return
        self._note(line, len(line.text) - len(line.text.lstrip()), line.typed.strip())

    def _note(self, line: Line, start: int, text: str) -> None:
        self.tune.notes.append(FreeText(text, line.place(start), len(self.tune.measures)))

    def _plain_section(self, index: int) -> tuple[str, str] | None:
        """A few words alone between two systems, without a full stop, name a section."""
        text = self.lines[index].text.strip()
        alone = index > 0 and self.lines[index - 1].blank
        named = text[:1].isupper() and len(text.split()) <= 4 and text[-1:].isalnum()
        if self.tune.measures and alone and named and index + 1 < len(self.lines):
            return (text, "") if any(self.rows[index + 1 : index + 10]) else None
        return None

    def _leads_to_rows(self, index: int) -> bool:
        """True if only lines that may stand over a system lie between here and the next rows."""
        for later in range(index + 1, min(index + 5, len(self.lines))):
            if self.rows[later] is not None:
                return True
            line = self.lines[later]
            if line.blank or attach.classify(line, attach.ABOVE) is None:
                return False
        return False

    def _headings(self, headings: Sequence[Heading]) -> None:
        if any(h.key == "title" for h in headings) and self.tune.measures:
            self._leftover()
            self.tune = _Tune(first_line=headings[0].place.line)
            self.tunes.append(self.tune)
        for heading in headings:
            if heading.key == "title" and (old := self._guessed_title()):
                # The first line was taken for the title; the typist names another one.
                self.tune.headings.remove(old)
                self.tune.notes.insert(0, FreeText(old.text, old.place, 0))
            if self.tune.has_heading(heading.key):
                self.problems.warn(
                    "heading-twice",
                    f"a second heading for {heading.key} ({heading.text!r}); the first one counts",
                    heading.place,
                )
                continue
            self.tune.headings.append(heading)

    def _guessed_title(self) -> Heading | None:
        return next((h for h in self.tune.headings if h.key == "title"), None)

    def _is_title(self, line: Line) -> bool:
        words = line.text.strip()
        first = not self.tune.headings and not self.tune.notes and not self.tune.measures
        return first and len(words) <= _LONGEST_TITLE and not words.endswith((".", ":", ";", ","))

    def _leftover(self) -> None:
        """Words meant for a system that never came."""
        for kind, word, line in self.over:
            self.problems.warn(
                "stray",
                f"{word.text!r} looks like {kind.value} but no system follows it",
                line.place(word.start),
            )
        self.over.clear()

    # Systems -------------------------------------------------------------------------------

    def _systems(self, index: int) -> int:
        """Read the run of rows at ``index`` and the lines under it; the index after them."""
        end = index
        while end < len(self.lines) and self.rows[end] is not None:
            end += 1
        rows = [row for row in self.rows[index:end] if row is not None]
        strings = self.instrument.strings
        if len(rows) % strings:
            self._wrong_number(rows)
            self.over.clear()
            return end
        for start in range(0, len(rows), strings):
            last = start + strings == len(rows)
            under = self._under(end) if last else ()
            self._system(rows[start : start + strings], under)
            if last:
                end += len(under)
        return end

    def _wrong_number(self, rows: Sequence[Row]) -> None:
        strings = self.instrument.strings
        number = len(rows)
        if number < strings:
            what = "a string that is not played still needs its row of dashes"
        else:
            what = "leave an empty line between two systems, and take out any extra row"
        at = rows[min(strings, number - 1)]
        self.problems.error(
            "rows",
            f"this system has {number} rows where the {self.instrument.name} has {strings} "
            f"strings; {what}",
            at.line.place(at.start),
        )

    def _under(self, index: int) -> list[Line]:
        """The lines from ``index`` on that belong under the system just above them."""
        found: list[Line] = []
        while index < len(self.lines) and not self.lines[index].blank:
            line = self.lines[index]
            if self.rows[index] is not None or read_section(line) or read_headings(line):
                break
            if attach.classify(line, attach.BELOW) is None and (
                attach.classify(line, attach.ABOVE) or not self._looks_like_lyrics(line, found)
            ):
                break
            found.append(line)
            index += 1
        return found

    def _looks_like_lyrics(self, line: Line, earlier: Sequence[Line]) -> bool:
        """Lyrics are spread out under the notes: indented, with wide gaps or hyphens."""
        text = line.text
        spread = "  " in text.strip() or " - " in text or "- " in text
        indented = text[:1] == " "
        return indented and (spread or len(attach.words(text)) <= 3) and len(earlier) < 4

    def _system(self, rows: Sequence[Row], under: Sequence[Line]) -> None:
        tune = self.tune
        for row in rows:
            if trailing := trailing_text(row):
                start, text = trailing
                tune.notes.append(FreeText(text, row.line.place(start), len(tune.measures)))
        if not tune.labels and all(row.label for row in rows):
            tune.labels = tuple(row.label for row in rows)
        slots = cut(rows, self.problems)
        first = len(tune.measures)
        for slot in slots:
            tune.measures.append(self._measure(slot, len(tune.measures)))
        words = list(self.over)
        self.over.clear()
        for line in under:
            if found := attach.classify(line, attach.BELOW):
                kind, typed = found
            else:
                kind, typed = LineKind.LYRICS, attach.lyrics(line)
            words.extend((kind, word, line) for word in typed)
        self._attach(words, slots, first)
        tune.systems += 1

    def _measure(self, slot: Slot, index: int) -> GridMeasure:
        tune = self.tune
        by_string: dict[int, list[tuple[int, Stroke]]] = {}
        sign_widths: dict[tuple[int, int], int] = {}
        for string, cell in enumerate(slot.cells, start=1):
            reading = read_cell(
                cell,
                string,
                self.instrument.frets,
                tune.carried.pop(string, None),
                string in tune.struck,
                self.problems,
            )
            if reading.strokes:
                by_string[string] = reading.strokes
                tune.struck.add(string)
            if reading.pending is not None:
                tune.carried[string] = reading.pending
            for position, width in reading.sign_widths.items():
                sign_widths[string, position] = width
        section, tune.section = tune.section, None
        top = slot.cells[0]
        return GridMeasure(
            index,
            tune.systems,
            slot.width,
            into_columns(by_string, sign_widths),
            slot.left,
            slot.right,
            section=section,
            first_line=top.row.line.number,
            last_line=slot.cells[-1].row.line.number,
            first_column=top.row.line.place(top.start).column,
        )

    def _attach(
        self, words: list[tuple[LineKind, attach.Word, Line]], slots: Sequence[Slot], first: int
    ) -> None:
        """Put each word to the measure and column it stands over or under."""
        tune = self.tune
        for kind, word, line in words:
            where = _slot_at(slots, word.start)
            if where is None:
                self.problems.warn(
                    "stray",
                    f"{word.text!r} ({kind.value}) stands over no measure",
                    line.place(word.start),
                )
                continue
            index = first + where
            measure = tune.measures[index]
            if kind is LineKind.ENDINGS:
                tune.measures[index] = replace(measure, ending=word.text)
                continue
            position = word.start - slots[where].cells[0].start
            column = _column_at(measure.columns, position, kind)
            if column is None and kind in (LineKind.PICKING, LineKind.DURATIONS, LineKind.LYRICS):
                self.problems.warn(
                    "stray",
                    f"{word.text!r} ({kind.value}) stands under no note",
                    line.place(word.start),
                )
            attachment = Attachment(kind, word.text, position, column, line.place(word.start))
            tune.measures[index] = replace(measure, attachments=(*measure.attachments, attachment))


def _slot_at(slots: Sequence[Slot], index: int) -> int | None:
    """The measure over which a character index lies; a bar line belongs to the measure after."""
    for number, slot in enumerate(slots):
        start, end = slot.cells[0].start, slot.cells[0].end
        if index < end or (number == len(slots) - 1 and index < end + 3):
            return number if index >= start - 4 else None
    return None


def _column_at(columns: Sequence[Column], position: int, kind: LineKind) -> int | None:
    """The column nearest to a position within the reach of that kind of word."""
    before, after = _REACH[kind]
    best: tuple[int, int] | None = None
    for index, column in enumerate(columns):
        left, right = column.position, column.position + column.width - 1
        distance = (
            0 if left <= position <= right else min(abs(position - left), abs(position - right))
        )
        near = distance <= (before if position < left else after)
        if near and (best is None or distance < best[0]):
            best = (distance, index)
    return best[1] if best else None


def _close_endings(measures: Sequence[GridMeasure]) -> tuple[GridMeasure, ...]:
    """Mark where each ending stops: at a repeat, a double bar, a new section, the next ending,
    or after as many measures as the ending before it had."""
    result = list(measures)
    start: int | None = None
    length_before: int | None = None
    for index, measure in enumerate(result):
        if measure.ending is not None:
            start = index
        if start is None:
            continue
        after = result[index + 1] if index + 1 < len(result) else None
        number = result[start].ending
        first = number is not None and number.startswith("1")
        closes = (
            after is None
            or measure.right in (Bar.REPEAT_END, Bar.DOUBLE)
            or after.ending is not None
            or after.section is not None
            or after.left is Bar.REPEAT_START
            or (not first and length_before is not None and index - start + 1 >= length_before)
        )
        if closes:
            length_before = index - start + 1
            result[index] = replace(result[index], ending_stop=True)
            start = None
    return tuple(result)
