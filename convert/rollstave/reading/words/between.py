"""Words between systems: headings, titles, sections, directions, and what is kept as text."""

from __future__ import annotations

import re
from collections.abc import Sequence, Set

from rollstave.grid.typed import FreeText, Heading, LineKind
from rollstave.problems import Place, ProblemList
from rollstave.reading.beside import attach
from rollstave.reading.beside.stems import stems_of
from rollstave.reading.ledger import Ledger, Use
from rollstave.reading.page.decode import Line
from rollstave.reading.so_far import TuneSoFar
from rollstave.reading.words import titles
from rollstave.reading.words.directions import (
    BEFORE,
    Direction,
    copy_section,
    is_order_of_parts,
    is_sign,
    read_direction,
    section_again,
)
from rollstave.reading.words.headings import REMARK, heads_words, read_headings, read_section
from rollstave.reading.words.title_line import split_title
from rollstave.vocabulary import problems as kinds

# What is believed behind words that are neither title nor heading.
HEADINGS_BEHIND = ("tuning", "key", "time", "tempo", "capo", "fifth string")
# Words at the left end, before a gap.
_FRONT = re.compile(r"\s*[\[(]?\w[^|]{0,24}?(?=\s{2})")
# A tune may grow to so many times its typed measures by sections played again.
_MOST_GROWTH = 8


class WordReader:
    """Takes the lines between systems one by one. ``tune`` is the tune they belong to, ``over``
    what was found over the next system."""

    def __init__(
        self, lines: Sequence[Line], in_block: Set[int], problems: ProblemList, ledger: Ledger
    ) -> None:
        self.lines = lines
        self.in_block = in_block
        self.problems = problems
        self.ledger = ledger
        self.tune = TuneSoFar(first_line=lines[0].number if lines else 1)
        self.tunes: list[TuneSoFar] = [self.tune]
        self.over: list[tuple[LineKind, attach.Word, Line]] = []
        self.section_line: Line | None = None  # of a section that has no measures yet
        self.taken: set[int] = set()  # lines that a heading above them has taken

    def without_measures(self) -> None:
        """Words of a tune that never came are kept with the tune before it."""
        kept: TuneSoFar | None = None
        for tune in self.tunes:
            if tune.measures or kept is None:
                kept = tune
                continue
            texts = [FreeText(h.text, h.place, len(kept.measures)) for h in tune.headings]
            for direction in tune.directions:
                self.problems.add(kinds.STRAY, "this direction has no measures", direction.place)
            kept.notes.extend(sorted([*texts, *tune.notes], key=lambda n: n.place.line))
            self.problems.add(
                kinds.NO_MEASURES,
                "a tune is named here but no tab follows; the words are kept with the tune before",
                Place(tune.first_line, 1),
            )

    def read(self, index: int) -> None:
        """A line of words that is under no system: over one, a heading, a section, or text."""
        if index in self.taken:
            return
        line = self.lines[index]
        drawn = stems_of(line) if self._leads_to_rows(index) else None
        if drawn is None and titles.is_ruler(line) and not is_sign(line.text):
            self.ledger.claim_line(line, Use.FRAME)
            return
        if self._leads_to_rows(index) and (found := attach.classify(line, attach.ABOVE)):
            kind, words = found
            # A lone letter is a section's name unless it stands over a system's own bars.
            alone = len(line.text.split()) == 1
            if not (alone and read_section(line) and words[0].start < 2):
                if kind is not LineKind.STEMS:  # it may be no more than bars: the system tells
                    self.ledger.claim_line(line, Use.WORD)
                self.over.extend((kind, word, line) for word in words)
                return
        if self._leads_to_rows(index) and self._section_and_chords(line):
            return
        if is_order_of_parts(line.text):
            self.problems.add(
                kinds.ORDER,
                f"{line.text.strip()!r} is kept as words: parts are written once and played as "
                "often as their repeat signs say; type |: and :| around a part, or 'play twice' "
                "under it",
                line.place(0),
            )
            self.note(line, len(line.text) - len(line.text.lstrip()), line.text.strip())
            return
        if headings := read_headings(line, head=not self.tune.measures):
            self.ledger.claim_line(line, Use.HEADING)
            self._headings(self._with_value(headings, index))
            return
        if self.tune.measures and (
            titles.begins_tune(self.lines, index, self._numbered())
            or titles.capitals_alike(self.lines, index, self._title_text())
        ):
            self._begin_tune(line)
            return
        if self.tune.measures and self._alone(index) and self._titled_again(line):
            self.ledger.claim_line(line, Use.FRAME)
            return
        if self._again(line) or self.direction(line, 0, line.text, beside=False):
            return
        if section := read_section(line) or self._plain_section(index):
            self.ledger.claim_line(line, Use.SECTION)
            self._section(line, *section)
            return
        if self._is_title(index):
            self._title(line)
            self.tune.title_guessed = True
            return
        if self._words_and_headings(line):
            return
        before = self.section_line
        if before is not None and before.number + 1 == line.number and heads_words(before.text):
            self._not_a_section()
        self.note(line, len(line.text) - len(line.text.lstrip()), line.text.strip())

    def _section_and_chords(self, line: Line) -> bool:
        """``Verse 1   (C)     (G7)`` over a system: the section that begins, and its chords."""
        front = _FRONT.match(line.text)
        if front is None or not (section := read_section(line.with_text(front[0]))):
            return False
        behind = line.with_text(" " * front.end() + line.text[front.end() :])
        found = attach.classify(behind, attach.ABOVE)
        if found is None or found[0] is not LineKind.CHORDS:
            return False
        self.ledger.claim_line(line, Use.WORD)
        self._section(line, *section)
        self.over.extend((LineKind.CHORDS, word, line) for word in found[1])
        return True

    def _section(self, line: Line, name: str, rest: str) -> None:
        """A section begins. Words after its name may say how often it is played."""
        self._not_a_section()
        self.section_line = line
        bare, _, inside = name.partition(" (")
        if inside and (found := self._read_direction(line, 0, inside.rstrip(")"), beside=False)):
            self.tune.directions.append(found)
            name = bare
        self.tune.section = name
        self.tune.section_names.append(name)
        if rest and not self.direction(line, line.text.find(rest), rest, beside=False):
            self.note(line, line.text.find(rest), rest)

    def in_margin(self, line: Line, end: int) -> None:
        """The name of a section to the left of a row's label, up to ``end``."""
        words = line.text[:end]
        if words.strip(" .:)").isdecimal():  # of a measure
            return
        if end and (section := read_section(line.with_text(words))):
            self._section(line, *section)
        elif end:
            self.note(line, len(words) - len(words.lstrip()), words.strip())

    def _not_a_section(self) -> None:
        """A section's name with no measures before the next one heads words: it is text."""
        line = self.section_line
        if line is not None and self.tune.section is not None:
            start = len(line.text) - len(line.text.lstrip())
            self.tune.section_names.remove(self.tune.section)
            self.tune.section = None
            self.note(line, start, line.text.strip())
            self.tune.notes.sort(key=lambda note: note.place.line)
        self.section_line = None

    def note(self, line: Line, start: int, text: str) -> None:
        text = line.words(start, start + len(text)) if line.continued is None else text
        self.ledger.claim(line, start, start + len(text), Use.TEXT)
        self.tune.notes.append(FreeText(text, line.place(start), len(self.tune.measures)))

    def _read_direction(self, line: Line, start: int, text: str, beside: bool) -> Direction | None:
        return read_direction(text, len(self.tune.measures), beside, line.place(start))

    def direction(self, line: Line, start: int, text: str, beside: bool) -> bool:
        """Take a direction; True if the text is one. One on a line of its own under a system
        goes with that system."""
        alone_under = not beside and self.tune.section is None and bool(self.tune.measures)
        found = self._read_direction(line, start, text, beside or alone_under)
        if found is not None and found.kind == "coda" and not beside and read_section(line):
            return False  # a section of that name
        needs_measures = found is not None and found.kind not in ("times", *BEFORE)
        if found is None or (needs_measures and not self.tune.measures):
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
        self.problems.add(
            kinds.AGAIN,
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
            if line.blank:
                return False
            if attach.classify(line, attach.ABOVE) is None and not titles.is_ruler(line):
                return False
        return False

    # Headings and titles -------------------------------------------------------------------

    def _headings(self, headings: Sequence[Heading]) -> None:
        if any(h.key == "title" for h in headings) and self.tune.measures:
            self.leftover()
            self.tune = TuneSoFar(first_line=headings[0].place.line)
            self.tunes.append(self.tune)
        for heading in headings:
            if heading.key == REMARK:
                self.tune.notes.append(
                    FreeText(heading.text, heading.place, len(self.tune.measures))
                )
                continue
            if heading.key == "title" and self.tune.title_guessed:
                self._forget_guess(heading.text)
            before = next((h for h in self.tune.headings if h.key == heading.key), None)
            if before is not None:
                if before.text.strip().casefold() != heading.text.strip().casefold():
                    self.problems.add(
                        kinds.HEADING_TWICE,
                        f"a second heading for {heading.key} ({heading.text!r}); the first one "
                        "counts",
                        heading.place,
                    )
                continue
            self.tune.headings.append(heading)

    def _with_value(self, headings: Sequence[Heading], index: int) -> list[Heading]:
        """The headings without one that says nothing; a value may stand on the next line."""
        *others, last = headings
        if last.text.strip():
            return list(headings)
        following = index + 1
        if following < len(self.lines) and following not in self.in_block:
            line = self.lines[following]
            if not line.blank and not titles.is_ruler(line) and read_headings(line) is None:
                self.taken.add(following)
                self.ledger.claim_line(line, Use.HEADING)
                start = len(line.text) - len(line.text.lstrip())
                return [*others, Heading(last.key, line.text.strip(), line.place(start))]
        self.problems.add(
            kinds.HEADING_EMPTY, f"nothing is said of the {last.key} here", last.place
        )
        return others

    def _begin_tune(self, line: Line) -> None:
        self.leftover()
        self.tune = TuneSoFar(first_line=line.number)
        self.tunes.append(self.tune)
        self._title(line)

    def _title(self, line: Line) -> None:
        """The line of a title, with what else it says."""
        self.ledger.claim_line(line, Use.HEADING)
        text = titles.undressed(line.text.strip())
        title, more = split_title(line, line.text.find(text), text)
        if self.tune.title_guessed:
            self._forget_guess(title)
        place = line.place(max(0, line.text.find(title)))
        self.tune.headings.append(Heading("title", title, place))
        if more:
            self.problems.add(
                kinds.TITLE_LINE,
                f"this line is read as the title {title!r} and "
                + ", ".join(f"{h.key} {h.text!r}" for h in more),
                place,
            )
        self._headings(more)

    def _words_and_headings(self, line: Line) -> bool:
        """Headings behind words that are no title: ``Otter's Run   Tuning: gDGCD``."""
        text = line.text.strip()
        if self.tune.measures or len(text) > titles.LONGEST_LINE:
            return False
        start = line.text.find(text)
        words, more = split_title(line, start, text)
        known = [h for h in more if h.key in HEADINGS_BEHIND]
        if not known or words == text:
            return False
        self.ledger.claim_line(line, Use.HEADING)
        old = self._titled()
        if old and self.tune.title_guessed and old.text.startswith(words):
            # The title of a page says more than the one over the tune.
            self.tune.headings.remove(old)
            self.tune.headings.append(Heading("title", words, line.place(line.text.find(words))))
        else:
            bare = words.lstrip("([") if words.count("(") > words.count(")") else words
            self.note(line, line.text.find(bare), bare)
        self._headings(more)
        return True

    def _forget_guess(self, title: str) -> None:
        """The first line was taken for the title; the typist names it somewhere else."""
        old = self._titled()
        if old is None:
            return
        self.tune.headings.remove(old)
        self.tune.title_guessed = False
        if old.text.casefold() != title.strip().casefold():
            self.tune.notes.insert(0, FreeText(old.text, old.place, 0))

    def _titled_again(self, line: Line) -> bool:
        """True if the line is the tune's title once more, as at the head of a further page."""
        title = self._title_text()
        return bool(title) and _same(title, titles.without_continued(line.text))

    def _title_text(self) -> str:
        first = self._titled()
        return first.text if first is not None else ""

    def _numbered(self) -> bool:
        first = self._titled()
        return first is not None and titles.is_numbered(first.text)

    def _titled(self) -> Heading | None:
        return next((h for h in self.tune.headings if h.key == "title"), None)

    def _is_title(self, index: int) -> bool:
        """The first words of a tune are its title, until some stand more like one."""
        tune, line = self.tune, self.lines[index]
        if tune.measures or not titles.could_be_title(line):
            return False
        old = self._titled()
        if old is None and not tune.headings and not tune.notes:
            return True
        if old is not None and not (tune.title_guessed and not titles.looks_named(old.text)):
            return tune.title_guessed and old is not None and _same(old.text, line.text)
        if not titles.looks_named(titles.undressed(line.text.strip())):
            return False
        return (not tune.notes and old is None) or self._alone(index)

    def _alone(self, index: int) -> bool:
        before = self.lines[index - 1] if index else None
        return before is None or before.blank or titles.is_ruler(before)

    def leftover(self) -> None:
        """Words meant for a system that never came."""
        for kind, word, line in self.over:
            self.ledger.claim_line(line, Use.WORD)
            self.problems.add(
                kinds.STRAY,
                f"{word.text!r} looks like {kind.value} but no system follows it",
                line.place(word.start),
            )
        self.over.clear()


def _same(one: str, other: str) -> bool:
    return one.strip().casefold() == titles.undressed(other.strip()).casefold()
