"""Systems with the lines over and under them become grid measures."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rollstave.grid.typed import GridMeasure, Heading, LineKind, Stroke
from rollstave.instruments.instrument import Instrument
from rollstave.problems import Place
from rollstave.reading.beside import attach
from rollstave.reading.beside.placing import attach_words
from rollstave.reading.cells.columns import into_columns
from rollstave.reading.cells.graces import Grace, with_graces
from rollstave.reading.cells.strokes import CellReader
from rollstave.reading.ledger import Use
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.cutting import Slot, cut, trailing_text
from rollstave.reading.rows.finding import Row, before_label
from rollstave.reading.rows.gathering import Block, System
from rollstave.reading.rows.measure_numbers import measure_numbers
from rollstave.reading.rows.meter_column import meter_in_rows
from rollstave.reading.rows.numbers import Habits
from rollstave.reading.words import titles
from rollstave.reading.words.between import WordReader
from rollstave.reading.words.directions import is_order_of_parts, read_direction
from rollstave.reading.words.headings import read_headings, read_section
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.signs import Signs

# Words about the playing, which no song has.
_SPEAKS = re.compile(
    r"\b(?:forward|backward|reverse|alternat\w+|square|roll) (?:roll|thumb)|\brolls\b"
    r"|\b(?:hammer|pull)[ -]?o(?:n|ff)\b|\bpinch(?:es)?\b|\bchoke\b",
    re.IGNORECASE,
)
_FRAME = re.compile(r"[-|:*]+|(?<=\|)[oO•]|[oO•](?=\|)|(?<=\|)\s+[A-Ga-g](?:#|♯|♭|b)?\d?\s?(?=\|)")


class SystemReader:
    """Reads block after block; the measures go to the tune that the words are at."""

    def __init__(
        self, words: WordReader, instrument: Instrument, signs: Signs, habits: Habits
    ) -> None:
        self.words = words
        self.lines, self.problems, self.ledger = words.lines, words.problems, words.ledger
        self.instrument = instrument
        self.cells = CellReader(
            problems=self.problems,
            signs=signs,
            habits=habits,
            ledger=self.ledger,
            half_frets=bool(instrument.half_frets),
        )
        self.said_numbers = False

    def read(self, block: Block) -> int:
        """Read the systems of a block and the lines under it; the index after them."""
        if not block.systems:
            # An error already says what is wrong with these rows.
            for line in self.lines[block.start : block.end]:
                self.ledger.claim_line(line, Use.REPORTED)
            self.words.over.clear()
            return block.end
        used = {id(row.line): row for system in block.systems for row in system.rows}
        numbers = {row.line.number for row in used.values()}
        for line in self.lines[block.start : block.end]:
            if line.number not in numbers and not self._in_wrapped(line, block):
                self._extra(line)
        end = block.end
        for system in block.systems:
            last = system is block.systems[-1]
            under = self._under(end) if last else []
            self._system(system, under)
            end += len(under)
        return end

    def _in_wrapped(self, line: Line, block: Block) -> bool:
        rows = (row for system in block.systems for row in system.rows)
        return any(row.line.number <= line.number <= row.line.last_number for row in rows)

    def _extra(self, line: Line) -> None:
        """A line among the rows that is no row: a count typed with dashes, or a ruler."""
        if line.blank:
            return
        if titles.is_ruler(line):
            self.ledger.claim_line(line, Use.FRAME)
            return
        if found := attach.classify(line, (*attach.ABOVE, *attach.BELOW)):
            self.ledger.claim_line(line, Use.WORD)
            kind, words = found
            self.words.over.extend((kind, word, line) for word in words)
        elif "--" not in line.text:
            self.words.note(line, len(line.text) - len(line.text.lstrip()), line.text.strip())
        else:
            self.ledger.claim_line(line, Use.WORD)
            self.problems.add(
                kinds.EXTRA_ROW,
                "this line has no bars where the rows around it have some; it is left out",
                line.place(0),
            )

    def _under(self, index: int) -> list[Line]:
        """The lines from ``index`` on that belong under the system just above them."""
        found: list[Line] = []
        while index < len(self.lines) and not self.lines[index].blank:
            line = self.lines[index]
            if index in self.words.in_block or read_section(line) or read_headings(line):
                break
            remark = attach.remark_behind(line)
            if remark is not None:
                shorter = line.with_text(line.text[:remark])
                if attach.classify(shorter, attach.BELOW) is not None:
                    self.words.note(line, remark, line.text[remark:].rstrip())
                    found.append(shorter)
                    index += 1
                    continue
            if attach.classify(line, attach.BELOW) is None and self._chords_under(index):
                found.append(line)
                return found
            if attach.classify(line, attach.BELOW) is None and (
                attach.classify(line, attach.ABOVE) or not self._looks_like_lyrics(line, found)
            ):
                break
            found.append(line)
            index += 1
        return found

    def _chords_under(self, index: int) -> bool:
        """Several chord names under a system that has none over it, and a gap after them."""
        after = self.lines[index + 1] if index + 1 < len(self.lines) else None
        over = any(kind is LineKind.CHORDS for kind, _, _ in self.words.over)
        found = attach.classify(self.lines[index], attach.CHORDS)
        text = self.lines[index].text.strip()
        alone = (after is None or after.blank) and "  " in text and not is_order_of_parts(text)
        return alone and not over and found is not None and len(found[1]) > 1

    def _looks_like_lyrics(self, line: Line, earlier: Sequence[Line]) -> bool:
        """Lyrics are spread out under the notes: indented, with wide gaps or hyphens."""
        text = line.text
        if not any(c.isalpha() for c in text) or read_direction(text, 0, False, Place(1, 1)):
            return False
        if _SPEAKS.search(text):
            return False
        spread = "  " in text.strip() or " - " in text or "- " in text
        indented = text[:1] == " "
        return indented and (spread or len(attach.words(text)) <= 3) and len(earlier) < 4

    def _system(self, system: System, under: Sequence[Line]) -> None:
        tune, rows = self.words.tune, system.rows
        if not tune.labels and all(row.label and not row.label.isdigit() for row in rows):
            tune.labels = tuple(row.label for row in rows)
        for row in rows:
            self._claim_frame(row)
            self.words.in_margin(row.line, before_label(row.line.text))
        slots = self._without_meter(cut(rows, self.problems))
        measures = [self._measure(slot, len(tune.measures) + i) for i, slot in enumerate(slots)]
        words = list(self.words.over)
        self.words.over.clear()
        for line in under:
            if found := attach.classify(line, (*attach.BELOW, *attach.CHORDS)):
                kind, typed = found
            else:
                kind, typed = LineKind.LYRICS, attach.lyrics(line)
            if kind is not LineKind.STEMS:
                self.ledger.claim_line(line, Use.WORD)
            words.extend((kind, word, line) for word in typed)
        if numbering := measure_numbers(words, slots, len(tune.measures)):
            self._numbered(numbering)
            words = [item for item in words if item[2] not in numbering]
        attached = attach_words(measures, slots, words, self.problems)
        self._claim_drawn(attached, [line for kind, _, line in words if kind is LineKind.STEMS])
        tune.measures.extend(attached)
        tune.typed += len(measures)
        tune.systems += 1
        for row in rows:
            if trailing := trailing_text(row):
                start, text = trailing
                if text.casefold() == row.label.casefold():  # the label once more
                    self.ledger.claim(row.line, start, start + len(text), Use.LABEL)
                elif not self.words.direction(row.line, start, text, beside=True):
                    self.words.note(row.line, start, text)

    def _numbered(self, lines: Sequence[Line]) -> None:
        """Lines that number the measures; said once, because they might have been counts."""
        for line in lines:
            self.ledger.claim_line(line, Use.FRAME)
        if not self.said_numbers:
            self.said_numbers = True
            self.problems.add(
                kinds.MEASURE_NUMBERS,
                "the numbers on this line are read as those of the measures",
                lines[0].place(len(lines[0].text) - len(lines[0].text.lstrip())),
            )

    def _without_meter(self, slots: list[Slot]) -> list[Slot]:
        """The slots of a tune's first system without its time signature, which is a heading."""
        tune = self.words.tune
        found = None if tune.measures else meter_in_rows(slots)
        if found is None:
            return slots
        meter, at = found
        place = at.row.line.place(at.start + len(at.text) - len(at.text.lstrip("- ")))
        for cell in slots[0].cells:
            self.ledger.claim(cell.row.line, cell.start, cell.end, Use.HEADING)
        if tune.has_heading("time"):
            return slots[1:]
        tune.headings.append(Heading("time", meter, place))
        self.problems.add(
            kinds.METER_IN_ROWS,
            f"the figures before the first measure are read as the time {meter}; if they are "
            "frets, add a line such as: Time: 4/4, and leave out the bar behind them",
            place,
        )
        return slots[1:]

    def _claim_drawn(self, measures: Sequence[GridMeasure], lines: Sequence[Line]) -> None:
        """Lines of stems, or of nothing but the system's bars drawn on."""
        stems = {a.place.line for m in measures for a in m.attached(LineKind.STEMS)}
        for line in {line.number: line for line in lines}.values():
            self.ledger.claim_line(line, Use.WORD if line.number in stems else Use.MUSIC)

    def _claim_frame(self, row: Row) -> None:
        """The label, the bars and the empty stretches of a row."""
        self.ledger.claim(row.line, 0, row.start, Use.LABEL)
        for run in _FRAME.finditer(row.line.text, row.start, row.end):
            self.ledger.claim(row.line, run.start(), run.end(), Use.MUSIC)

    def _measure(self, slot: Slot, index: int) -> GridMeasure:
        tune = self.words.tune
        by_string: dict[int, list[tuple[int, Stroke]]] = {}
        sign_widths: dict[tuple[int, int], int] = {}
        graces: list[Grace] = []
        for string, cell in enumerate(slot.cells, start=1):
            reading = self.cells.read(
                cell, string, tune.carried.pop(string, None), string in tune.struck
            )
            if reading.strokes:
                by_string[string] = reading.strokes
                tune.struck.add(string)
            if reading.pending is not None:
                tune.carried[string] = reading.pending
            for position, width in reading.sign_widths.items():
                sign_widths[string, position] = width
            graces += reading.graces.found
        section, tune.section = tune.section, None
        top = slot.cells[0]
        numbers = [cell.row.line.number for cell in slot.cells]
        return GridMeasure(
            index=index,
            system=tune.systems,
            width=slot.width,
            columns=with_graces(into_columns(by_string, sign_widths), graces, self.problems),
            left=slot.left,
            right=slot.right,
            section=section,
            first_line=min(numbers),
            last_line=max(cell.row.line.last_number for cell in slot.cells),
            first_column=top.row.line.place(top.start).column,
        )
