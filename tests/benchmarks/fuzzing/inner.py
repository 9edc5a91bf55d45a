"""Targets inside the reader and the tables: fast, so that they get most of the executions."""

from __future__ import annotations

import contextlib
from fractions import Fraction

from rollstave.assembly.plugins import contract
from rollstave.deciding.chords import chord_name, chord_tones, pitch_class
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.instruments.tunings import find_by_name, letters_in, parse_tuning, suggest
from rollstave.pitch import Pitch, parse_key, spell
from rollstave.problems import Place, ProblemList, TabError
from rollstave.reading.beside.attach import ABOVE, BELOW, classify
from rollstave.reading.beside.sung import lyrics
from rollstave.reading.cells.signs import read_legend
from rollstave.reading.cells.strokes import CellReader
from rollstave.reading.ledger import Ledger
from rollstave.reading.page.decode import Line, decode_with, split_lines
from rollstave.reading.reader import prepare
from rollstave.reading.rows.cutting import cut
from rollstave.reading.rows.finding import as_row, body_end, trailing_text
from rollstave.reading.rows.numbers import digit_style_of
from rollstave.reading.which import which_instrument
from rollstave.reading.words.directions import read_direction, section_again
from rollstave.reading.words.headings import read_headings
from rollstave.reading.words.section_names import read_section
from rollstave.reading.words.titles import begins_tune, could_be_title, is_numbered, undressed
from rollstave.rhythm.meter import parse_meter

INSTRUMENTS = tuple(offer.thing for offer in contract().offers("instruments"))


def text_of(data: bytes) -> str:
    """The bytes as text; lone surrogates stay, as they may in a ``str`` that a program gives."""
    return data.decode("utf-8", "surrogateescape")


def encodings(data: bytes) -> None:
    """Bytes to lines: what can be decoded is encoded back, and every place lies in its line."""
    with contextlib.suppress(TabError):
        text, encoding = decode_with(data)
        with contextlib.suppress(UnicodeEncodeError):
            encoding.encode(text)
        for line in split_lines(text):
            for index in (0, len(line.text) // 2, len(line.text)):
                place = line.place(index)
                assert place.line == line.number
                assert 1 <= place.column <= len(line.typed) + 1 + index


def names(data: bytes) -> None:
    """Words of one heading: pitches, keys, meters, tunings, chords."""
    text = text_of(data)
    with contextlib.suppress(ValueError):
        pitch = Pitch.parse(text)
        assert Pitch.parse(str(pitch)) == pitch
    key = parse_key(text)
    if key is not None:
        assert -7 <= key.fifths <= 7
        assert parse_key(str(key)) == key
        assert spell(60, key.fifths).midi == 60
    meter = parse_meter(text)
    if meter is not None:
        assert meter.length > 0
        assert meter.beat > 0
    letters_in(text)
    for instrument in INSTRUMENTS:
        tuning = parse_tuning(text, instrument)
        if tuning is not None:
            assert len(tuning.pitches) == instrument.strings
    find_by_name(text, FIVE_STRING_BANJO)
    suggest(text[:40], FIVE_STRING_BANJO)
    for word in text.split()[:4]:
        chord = chord_name(word, Fraction(0))
        assert chord.text == word
        tones = chord_tones(chord)
        assert tones is None or all(0 <= tone < 12 for tone in tones)
        if chord.root:
            assert 0 <= pitch_class(chord.root) < 12


def a_line(data: bytes) -> None:
    """One line, as everything that a line can be."""
    lines = split_lines(text_of(data))
    line = lines[0]
    for heading in read_headings(line) or ():
        assert heading.place.line == line.number
    read_section(line)
    could_be_title(line)
    undressed(line.text)
    is_numbered(line.text)
    begins_tune(lines, 0, first_title_numbered=True)
    read_direction(line.text, 1, True, Place(1, 1))
    section_again(line.text, ("A part", "Chorus"))
    for table in (ABOVE, BELOW):
        found = classify(line, table)
        for word in found[1] if found else ():
            assert 0 <= word.start <= len(line.text)
    lyrics(line)
    read_legend([line], ProblemList())


def rows(data: bytes) -> None:
    """Five rows: which are rows at all, where their bars are, what stands in their cells."""
    lines = split_lines(text_of(data))
    problems = ProblemList()
    for line in lines:
        body_end(line.text, 0)
    found = [row for row in prepare(text_of(data), problems).rows if row is not None][:5]
    found += [row] * (5 - len(found)) if (row := _some_row(lines)) else []
    if len(found) != 5:
        return
    digits = digit_style_of([found], 22, problems)
    cells = CellReader(problems=problems, digits=digits, ledger=_ledger(lines))
    for slot in cut(found, problems):
        assert slot.width >= 0
        for string, cell in enumerate(slot.cells, start=1):
            reading = cells.read(cell, string)
            for index, stroke in reading.strokes:
                assert 0 <= index <= cell.end
                assert stroke.string == string
                assert stroke.fret is None or stroke.fret >= 0
    for row in found:
        trailing_text(row)


def _ledger(lines: list[Line]) -> Ledger:
    ledger = Ledger()
    for line in lines:
        ledger.open(line)
    return ledger


def _some_row(lines: list[Line]) -> object:
    return next((row for line in lines if (row := as_row(line))), None)


def scrubbing(data: bytes) -> None:
    """Quote marks, markup, numbers of lines taken off; which instrument is meant."""
    file = prepare(text_of(data), ProblemList())
    for line in file.lines:
        line.place(0)
        line.place(len(line.text))
    which_instrument(file)
