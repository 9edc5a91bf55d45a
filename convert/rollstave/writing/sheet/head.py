"""The head of a sheet: title, tuning, capo, tempo, source; the row of chord shapes.

Lengths are in units.
"""

from __future__ import annotations

from collections.abc import Sequence

from lxml import etree

from rollstave.deciding.shapes import NamedShape
from rollstave.instruments.tunings import written_form
from rollstave.pitch import spell
from rollstave.score.records import OtherVersion, Score
from rollstave.vocabulary.headings import Stands
from rollstave.writing.fonts import Style, text_width
from rollstave.writing.headings import head_lines
from rollstave.writing.options import SheetOptions
from rollstave.writing.sheet.drawing import shape, text, with_signs, wrapped
from rollstave.writing.sheet.tempo import draw_tempo

_TITLE_SIZE, _TEXT_SIZE, _LINE = 720.0, 330.0, 440.0
_TITLE_DROP = 520.0  # from the top margin to the base line of the title
_LEAST_TITLE = 0.72  # a title that would be set smaller than this share is broken into lines
_MOST_TITLE_LINES = 4
_TITLE_LEADING = 1.15
_UNDER_TITLE = 680.0
_COLUMN_GAP = 600.0
_BESIDE = 420.0  # from what stands in a line to what is set beside it
_ABOVE_BESIDE = 160.0  # over the words that say what the lower tab is


def tuning_line(score: Score) -> str:
    """The tuning in words, letters and notes: ``Tuning: sawmill, gDGCD (G4 D3 G3 C4 D4)``; any
    but the five-string banjo is named."""
    tuning = score.setup.tuning
    notes = " ".join(str(p) for p in reversed(tuning.pitches))
    name = f"{tuning.name}, " if tuning.name else ""
    instrument = score.setup.instrument
    words = "tuning" if instrument.short_string else f"{instrument.name} tuning"
    return f"{words[0].upper()}{words[1:]}: {name}{tuning.written} ({notes})"


def capo_line(score: Score) -> str:
    """What is said about capo and short string, or nothing."""
    setup = score.setup
    parts = []
    if setup.capo:
        parts.append(f"Capo {setup.capo}")
    short = setup.instrument.short_string
    if short and (setup.short_raise or setup.capo):
        if setup.short_raise:
            pitch = spell(setup.open_midi(short.string), score.key.fifths)
            parts.append(f"fifth string raised to {pitch.letter}")
        else:
            parts.append("fifth string not raised")
    if parts:
        sounding = [
            spell(setup.open_midi(n), score.key.fifths)
            for n in range(1, setup.instrument.strings + 1)
        ]
        parts.append(f"sounds {written_form(sounding, setup.instrument)}")
    words = ", ".join(parts)
    return words[:1].upper() + words[1:]


def manner_line(score: Score) -> str:
    """How the tune goes, where it is not plain: a modal key, the style of the right hand, and
    whatever else stands on the side of the tuning."""
    modal = score.key.mode not in ("major", "minor")
    words = [with_signs(str(score.key)) if modal else "", *head_lines(score, Stands.LEFT)]
    line = ", ".join(word for word in words if word)
    return line[:1].upper() + line[1:]


def draw_head(
    parent: etree._Element,
    score: Score,
    options: SheetOptions,
    left: float,
    right: float,
    top: float,
    paced: bool = False,
) -> float:
    """Draw the head between two margins; the height under it. Where the music is ``paced``, the
    metronome mark stands there."""
    from rollstave.deciding.shape_row import shape_row
    from rollstave.writing.sheet.chordrow import draw_chord_row

    block = shape(parent, "g", class_="title-block")
    lines, size = _title_lines(score.title, right - left)
    y = top + _TITLE_DROP
    for row, line in enumerate(lines):
        y += size * _TITLE_LEADING if row else 0.0
        text(block, line, (left + right) / 2, y, size, class_="title")
    theirs = head_lines(score, Stands.RIGHT)
    y += _UNDER_TITLE
    rows, widest = _draw_mine(block, score, left, (right - left) / 2, y, paced)
    # The source stands at the right, or under everything where the lines would meet.
    fits = all(text_width(t, _TEXT_SIZE) + widest + _COLUMN_GAP <= right - left for t in theirs)
    for row, line in enumerate(theirs):
        at = y + (row if fits else rows + row) * _LINE
        shrunk = min(_TEXT_SIZE, _TEXT_SIZE * (right - left) / text_width(line, _TEXT_SIZE))
        text(block, line, right, at, shrunk, "end")
    rows = max(rows, len(theirs)) if fits else rows + len(theirs)
    bottom = y + (rows - 1) * _LINE + 120
    if options.chord_row:
        bottom = draw_chord_row(parent, score, left, right, bottom)
    if (other := score.beside) is not None:
        said = lines_of_beside(score, other)
        broken = [part for line in said for part in wrapped(line, right - left, _TEXT_SIZE)]
        for row, line in enumerate(broken):
            y = bottom + (_ABOVE_BESIDE if row == 0 else 0.0) + _LINE
            text(block, line, left, y, _TEXT_SIZE, "start", class_="beside")
            bottom = y
        if options.chord_row and holds_more(shape_row(other.score), shape_row(score)):
            bottom = draw_chord_row(parent, other.score, left, right, bottom + 120)
    return bottom


def _draw_mine(
    block: etree._Element, score: Score, left: float, room: float, y: float, paced: bool
) -> tuple[int, float]:
    """Draw what stands on the side of the tuning; how many rows that is, and how wide. The manner,
    and the metronome mark where the music has none, stand beside the last line where there is
    room for them."""
    mine = [with_signs_of_tuning(tuning_line(score)), with_signs(capo_line(score))]
    mine = [line for line in mine if line]
    manner = manner_line(score)
    if manner and text_width(mine[-1] + manner, _TEXT_SIZE) + _BESIDE > room:
        mine, manner = [*mine, manner], ""
    for row, line in enumerate(mine):
        text(block, line, left, y + row * _LINE, _TEXT_SIZE, "start")
    rows = len(mine)
    beside = left + text_width(mine[-1], _TEXT_SIZE) + _BESIDE
    if manner:
        text(block, manner, beside, y + (rows - 1) * _LINE, _TEXT_SIZE, "start")
        beside += text_width(manner, _TEXT_SIZE) + _BESIDE
    widest = max(beside - left - _BESIDE, *(text_width(line, _TEXT_SIZE) for line in mine))
    if score.tempo is not None and not paced:
        if beside - left <= room:
            draw_tempo(block, score.tempo, score.meter, beside, y + (rows - 1) * _LINE)
        else:
            draw_tempo(block, score.tempo, score.meter, left, y + rows * _LINE)
            rows += 1
    return rows, widest


def holds_more(shapes: Sequence[NamedShape], others: Sequence[NamedShape]) -> bool:
    """True if a shape stops a string where no other shape of its name does."""
    stopped: dict[str, list[set[tuple[int, int]]]] = {}
    for held in others:
        stopped.setdefault(held.name, []).append(_stopped(held))
    return any(
        not any(_stopped(held) <= known for known in stopped.get(held.name, ())) for held in shapes
    )


def _stopped(held: NamedShape) -> set[tuple[int, int]]:
    return {(string, fret) for string, fret in enumerate(held.frets, start=1) if fret}


def lines_of_beside(score: Score, other: OtherVersion) -> list[str]:
    """What stands under the tune, in words: what it is, and how it is tuned if otherwise."""
    found = [f"Lower tab: {with_signs(other.says)}"]
    if other.score.setup != score.setup:
        tuned = [with_signs_of_tuning(tuning_line(other.score))]
        if capo := capo_line(other.score):
            tuned.append(with_signs(capo))
        found.append("; ".join(tuned))
    return found


def _title_lines(title: str, room: float) -> tuple[list[str], float]:
    """The lines of a title and their size. There are as few as keep it well above the size of the
    text, and they are as even as the words allow. A title that is too long even so is smaller."""
    words = title.split()
    lines, size = [title], 0.0
    for count in range(1, max(1, min(_MOST_TITLE_LINES, len(words))) + 1):
        found = _even_lines(words, count) if count > 1 else [title]
        widest = max(text_width(line, _TITLE_SIZE, Style.REGULAR) for line in found)
        fitting = _TITLE_SIZE * min(1.0 if count == 1 else _LEAST_TITLE, room / max(1.0, widest))
        if fitting > size:
            lines, size = found, fitting
        if size >= _LEAST_TITLE * _TITLE_SIZE:
            break
    return lines, size


def _even_lines(words: list[str], count: int) -> list[str]:
    """Words in at most so many lines, the widest of which is as narrow as can be."""
    widths = [text_width(word + " ", _TITLE_SIZE, Style.REGULAR) for word in words]
    narrow, wide = max(widths), sum(widths)
    lines = [" ".join(words)]
    # Halve the span in which the least width that needs no more lines must lie.
    for _ in range(12):
        limit = (narrow + wide) / 2
        tried: list[list[str]] = [[]]
        load = 0.0
        for word, width in zip(words, widths, strict=True):
            if load + width > limit and tried[-1]:
                tried.append([])
                load = 0.0
            tried[-1].append(word)
            load += width
        if len(tried) <= count:
            wide, lines = limit, [" ".join(line) for line in tried]
        else:
            narrow = limit
    return lines


def with_signs_of_tuning(line: str) -> str:
    """Sharps and flats of a tuning as a printer sets them; its first letter is lower case."""
    return line if "#" not in line and "b" not in line else _signed(line)


def _signed(line: str) -> str:
    before, mark, notes = line.partition("(")
    words, comma, letters = before.rpartition(", ")
    if not comma:
        words, comma, letters = before.rpartition(": ")
    letters = letters.replace("f#", "f♯")
    return f"{words}{comma}{with_signs(letters)}{mark}{with_signs(notes)}"
