"""Walking a file: lines become headings, systems, words, and in the end tunes of grid measures."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from rollstave.grid.model import (
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
from rollstave.reading import attach, titles
from rollstave.reading.decode import Line, split_lines
from rollstave.reading.directions import (
    Direction,
    apply,
    copy_section,
    read_direction,
    section_again,
)
from rollstave.reading.headings import read_headings, read_section
from rollstave.reading.joining import close_endings, join_broken
from rollstave.reading.ledger import Ledger, Use
from rollstave.reading.lines import Row, find_rows
from rollstave.reading.numbers import habits_of
from rollstave.reading.placing import attach_words
from rollstave.reading.rows import Slot, cut, trailing_text
from rollstave.reading.scrub import scrub
from rollstave.reading.signs import read_legend
from rollstave.reading.strokes import into_columns, read_cell
from rollstave.reading.systems import Block, System, find_systems

# A tune may grow to so many times its typed measures by sections played again.
_MOST_GROWTH = 8


@dataclass
class _Tune:
    """A tune while it is read."""

    first_line: int
    headings: list[Heading] = field(default_factory=list)
    measures: list[GridMeasure] = field(default_factory=list)
    notes: list[FreeText] = field(default_factory=list)
    directions: list[Direction] = field(default_factory=list)
    labels: tuple[str, ...] = ()
    section: str | None = None
    section_names: list[str] = field(default_factory=list)
    carried: dict[int, Link] = field(default_factory=dict)
    struck: set[int] = field(default_factory=set)
    systems: int = 0
    typed: int = 0

    def has_heading(self, key: str) -> bool:
        return any(h.key == key for h in self.headings)

    def finish(self, strings: int, problems: ProblemList) -> GridTune:
        joined = join_broken(self.measures, problems)
        starts = [m.index for m in joined]
        directions = [replace(d, after=bisect_left(starts, d.after)) for d in self.directions]
        measures = [replace(m, index=index) for index, m in enumerate(joined)]
        measures = apply(measures, directions, problems)
        return GridTune(
            tuple(self.headings),
            close_endings(measures),
            tuple(self.notes),
            self.labels,
            strings,
            self.first_line,
        )


def read_grid(
    text: str, instrument: Instrument, problems: ProblemList, ledger: Ledger | None = None
) -> tuple[GridTune, ...]:
    """The tunes of a text as typed. Problems are added to ``problems``; nothing is raised.

    ``ledger`` is filled with what every character was taken for.
    """
    typed = split_lines(text)
    ledger = Ledger() if ledger is None else ledger
    for line in typed:
        ledger.open(line)
    lines = scrub(typed, ledger)
    rows = find_rows(lines)
    blocks = find_systems(lines, rows, instrument, problems)
    if not blocks:
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
    tunes = _Walk(lines, blocks, instrument, problems, ledger).run()
    ledger.report_rest(problems)
    return tunes


class _Walk:
    """One pass over the lines of a file."""

    def __init__(
        self,
        lines: Sequence[Line],
        blocks: Sequence[Block],
        instrument: Instrument,
        problems: ProblemList,
        ledger: Ledger,
    ) -> None:
        self.lines = lines
        self.blocks = {block.start: block for block in blocks}
        self.in_block = {i for block in blocks for i in range(block.start, block.end)}
        self.instrument = instrument
        self.problems = problems
        self.ledger = ledger
        words = (line for i, line in enumerate(lines) if i not in self.in_block)
        self.signs = read_legend(words, problems)
        self.habits = habits_of(
            [system.rows for block in blocks for system in block.systems],
            instrument.frets,
            problems,
        )
        self.tune = _Tune(first_line=1)
        self.tunes: list[_Tune] = [self.tune]
        self.over: list[tuple[LineKind, attach.Word, Line]] = []

    def run(self) -> tuple[GridTune, ...]:
        index = 0
        while index < len(self.lines):
            if index in self.blocks:
                index = self._block(self.blocks[index])
                continue
            if not self.lines[index].blank:
                self._words(index)
            index += 1
        self._leftover()
        strings = self.instrument.strings
        self._without_measures()
        return tuple(t.finish(strings, self.problems) for t in self.tunes if t.measures)

    def _without_measures(self) -> None:
        """Words of a tune that never came are kept with the tune before it."""
        kept: _Tune | None = None
        for tune in self.tunes:
            if tune.measures or kept is None:
                kept = tune
                continue
            texts = [FreeText(h.text, h.place, len(kept.measures)) for h in tune.headings]
            for direction in tune.directions:
                self.problems.warn("stray", "this direction has no measures", direction.place)
            kept.notes.extend(sorted([*texts, *tune.notes], key=lambda n: n.place.line))
            self.problems.warn(
                "no-measures",
                "a tune is named here but no tab follows; the words are kept with the tune before",
                Place(tune.first_line, 1),
            )

    # Words between systems -----------------------------------------------------------------

    def _words(self, index: int) -> None:
        """A line of words that is under no system: over one, a heading, a section, or text."""
        line = self.lines[index]
        if titles.is_ruler(line):
            self.ledger.claim_line(line, Use.FRAME)
            return
        if self._leads_to_rows(index) and (found := attach.classify(line, attach.ABOVE)):
            kind, words = found
            # A lone letter is a section's name unless it stands over a system's own bars.
            if not (len(words) == 1 and read_section(line) and words[0].start < 2):
                self.ledger.claim_line(line, Use.WORD)
                self.over.extend((kind, word, line) for word in words)
                return
        if headings := read_headings(line):
            self.ledger.claim_line(line, Use.HEADING)
            self._headings(headings)
            return
        if self.tune.measures and titles.begins_tune(self.lines, index, self._numbered()):
            self._begin_tune(line)
            return
        if self._again(line) or self._direction(line, 0, line.text, beside=False):
            return
        if section := read_section(line) or self._plain_section(index):
            self.ledger.claim_line(line, Use.SECTION)
            self._section(line, *section)
            return
        if self._is_title(line):
            self._title(line)
            return
        self._note(line, len(line.text) - len(line.text.lstrip()), line.text.strip())

    def _section(self, line: Line, name: str, rest: str) -> None:
        """A section begins. Words after its name may say how often it is played."""
        bare, _, inside = name.partition(" (")
        if inside and (found := self._read_direction(line, 0, inside.rstrip(")"), beside=False)):
            self.tune.directions.append(found)
            name = bare
        self.tune.section = name
        self.tune.section_names.append(name)
        if rest and not self._direction(line, line.text.find(rest), rest, beside=False):
            self._note(line, line.text.find(rest), rest)

    def _note(self, line: Line, start: int, text: str) -> None:
        text = line.words(start, start + len(text)) if line.continued is None else text
        self.ledger.claim(line, start, start + len(text), Use.TEXT)
        self.tune.notes.append(FreeText(text, line.place(start), len(self.tune.measures)))

    def _read_direction(self, line: Line, start: int, text: str, beside: bool) -> Direction | None:
        return read_direction(text, len(self.tune.measures), beside, line.place(start))

    def _direction(self, line: Line, start: int, text: str, beside: bool) -> bool:
        """Take a direction; True if the text is one. One on a line of its own under a system
        goes with that system."""
        alone_under = not beside and self.tune.section is None and bool(self.tune.measures)
        found = self._read_direction(line, start, text, beside or alone_under)
        if found is None or (found.kind != "times" and not self.tune.measures):
            return False
        self.ledger.claim(line, start, start + len(text), Use.DIRECTION)
        self.tune.directions.append(found)
        return True

    def _again(self, line: Line) -> bool:
        """``A part again``: the measures of that section are added once more."""
        tune = self.tune
        name = section_again(line.text, tune.section_names)
        if name is None or not any(m.section == name for m in tune.measures):
            return False
        copies = copy_section(tune.measures, name, tune.systems)
        if len(tune.measures) + len(copies) > _MOST_GROWTH * tune.typed:
            return False
        self.ledger.claim_line(line, Use.DIRECTION)
        tune.measures.extend(copies)
        tune.systems += 1
        self.problems.notice(
            "again",
            f"{line.text.strip()!r}: the {len(copies)} measures of {name} are added again",
            line.place(0),
        )
        return True

    def _plain_section(self, index: int) -> tuple[str, str] | None:
        """A few words alone between two systems, without a full stop, name a section."""
        text = self.lines[index].text.strip()
        alone = index > 0 and self.lines[index - 1].blank
        named = text[:1].isupper() and len(text.split()) <= 4 and text[-1:].isalnum()
        if self.tune.measures and alone and named and index + 1 < len(self.lines):
            return (
                (text, "")
                if any(i in self.in_block for i in range(index + 1, index + 10))
                else None
            )
        return None

    def _leads_to_rows(self, index: int) -> bool:
        """True if only lines that may stand over a system lie between here and the next rows."""
        for later in range(index + 1, min(index + 5, len(self.lines))):
            if later in self.in_block:
                return True
            line = self.lines[later]
            if line.blank or attach.classify(line, attach.ABOVE) is None:
                return False
        return False

    # Headings and titles -------------------------------------------------------------------

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

    def _begin_tune(self, line: Line) -> None:
        self._leftover()
        self.tune = _Tune(first_line=line.number)
        self.tunes.append(self.tune)
        self._title(line)

    def _title(self, line: Line) -> None:
        start = len(line.text) - len(line.text.lstrip())
        self.ledger.claim_line(line, Use.HEADING)
        self.tune.headings.append(Heading("title", line.text.strip(), line.place(start)))

    def _numbered(self) -> bool:
        first = next((h for h in self.tune.headings if h.key == "title"), None)
        return first is not None and titles.is_numbered(first.text)

    def _guessed_title(self) -> Heading | None:
        return next((h for h in self.tune.headings if h.key == "title"), None)

    def _is_title(self, line: Line) -> bool:
        tune = self.tune
        first = not tune.headings and not tune.notes and not tune.measures
        return first and titles.could_be_title(line)

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

    def _block(self, block: Block) -> int:
        """Read the systems of a block and the lines under it; the index after them."""
        if not block.systems:
            # An error already says what is wrong with these rows.
            for line in self.lines[block.start : block.end]:
                self.ledger.claim_line(line, Use.REPORTED)
            self.over.clear()
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
        self.ledger.claim_line(line, Use.WORD)
        if found := attach.classify(line, attach.BELOW):
            kind, words = found
            self.over.extend((kind, word, line) for word in words)
        else:
            self.problems.warn(
                "extra-row",
                "this line has no bars where the rows around it have some; it is left out",
                line.place(0),
            )

    def _under(self, index: int) -> list[Line]:
        """The lines from ``index`` on that belong under the system just above them."""
        found: list[Line] = []
        while index < len(self.lines) and not self.lines[index].blank:
            line = self.lines[index]
            if index in self.in_block or read_section(line) or read_headings(line):
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
        if not any(c.isalpha() for c in text) or read_direction(text, 0, False, Place(1, 1)):
            return False
        spread = "  " in text.strip() or " - " in text or "- " in text
        indented = text[:1] == " "
        return indented and (spread or len(attach.words(text)) <= 3) and len(earlier) < 4

    def _system(self, system: System, under: Sequence[Line]) -> None:
        tune, rows = self.tune, system.rows
        if not tune.labels and all(row.label and not row.label.isdigit() for row in rows):
            tune.labels = tuple(row.label for row in rows)
        for row in rows:
            self._claim_frame(row)
        slots = cut(rows, self.problems)
        measures = [self._measure(slot, len(tune.measures) + i) for i, slot in enumerate(slots)]
        words = list(self.over)
        self.over.clear()
        for line in under:
            self.ledger.claim_line(line, Use.WORD)
            if found := attach.classify(line, attach.BELOW):
                kind, typed = found
            else:
                kind, typed = LineKind.LYRICS, attach.lyrics(line)
            words.extend((kind, word, line) for word in typed)
        tune.measures.extend(attach_words(measures, slots, words, self.problems))
        tune.typed += len(measures)
        tune.systems += 1
        for row in rows:
            if trailing := trailing_text(row):
                start, text = trailing
                if not self._direction(row.line, start, text, beside=True):
                    self._note(row.line, start, text)

    def _claim_frame(self, row: Row) -> None:
        """The label, the bars and the empty stretches of a row."""
        self.ledger.claim(row.line, 0, row.start, Use.LABEL)
        for index in range(row.start, row.end):
            if row.line.text[index] in "-|:*":
                self.ledger.claim(row.line, index, index + 1, Use.MUSIC)

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
                self.signs,
                self.habits,
                self.ledger,
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
        numbers = [cell.row.line.number for cell in slot.cells]
        return GridMeasure(
            index,
            tune.systems,
            slot.width,
            into_columns(by_string, sign_widths),
            slot.left,
            slot.right,
            section=section,
            first_line=min(numbers),
            last_line=max(cell.row.line.last_number for cell in slot.cells),
            first_column=top.row.line.place(top.start).column,
        )
