"""Every row of the table of headings: from text to score and back, through MusicXML, to the sheet.

Each heading of the table has its tests by being there. Elements of MusicXML are judged by its
published schema (``tests/musicxml_schema.py``) and by music21 as a reader.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable

import music21
import pytest
from lxml import etree, html

import rollstave
from rollstave.score.compare import first_difference
from rollstave.vocabulary.headings import (
    CREATOR,
    FIELD,
    HEADINGS,
    ONLY_WORDS,
    RIGHTS,
    SOURCE,
    TEMPO_WORDS,
    HeadingRow,
)
from rollstave.writing.headings import TYPED
from tests import musicxml_schema

BANJO = "".join(f"{label}|-0---2---0---2---|\n" for label in "DBGD") + "g|-0---9---0---9---|\n"
UNLABELLED = re.sub(r"^\w", "", BANJO, flags=re.MULTILINE)
MANDOLIN = "".join(f"{label}|-0---2---0---2---|\n" for label in "EADG")
WORDS = "Mara Quay of Larkspur Ferry"
# What is typed for a heading that means more than its words, and what a score then has.
EXAMPLES: dict[str, tuple[str, Callable[[rollstave.Score], object], object]] = {
    "title": ("Two Oars", lambda s: s.title, "Two Oars"),
    "instrument": ("mandolin", lambda s: s.setup.instrument.name, "mandolin"),
    "tuning": ("sawmill", lambda s: s.setup.tuning.written, "gDGCD"),
    "capo": ("2", lambda s: s.setup.capo, 2),
    # F4 is MIDI 65 (General MIDI): two semitones under the g of the usual tuning.
    "fifth string": ("tuned to F", lambda s: s.setup.open_midi(5), 65),
    "key": ("G dorian", lambda s: str(s.key), "G dorian"),
    "time": ("cut time", lambda s: (s.meter.count, s.meter.unit, s.meter.symbol), (2, 2, "cut")),
    "tempo": ("quarter = 93", lambda s: s.tempo, 93),
    "voices": (
        "strings 4-5",
        lambda s: {n.string for m in s.measures for e in m.events for n in e.notes if n.voice == 2},
        {4, 5},
    ),
}
BY_KEY = pytest.mark.parametrize("row", HEADINGS, ids=lambda row: row.key)
BY_WORDS = pytest.mark.parametrize("row", ONLY_WORDS, ids=lambda row: row.key)


def typed(row: HeadingRow) -> str:
    """What stands behind the colon in these tests."""
    return WORDS if row.only_words else EXAMPLES[row.key][0]


def found(row: HeadingRow, score: rollstave.Score) -> bool:
    """True if a score has what :func:`typed` says."""
    if row.only_words:
        return dict(score.said).get(row.key) == WORDS
    _, asked, meant = EXAMPLES[row.key]
    return asked(score) == meant


def read(*headings: str, rows: str = BANJO) -> rollstave.Tune:
    (tune,) = rollstave.read("\n".join(headings) + f"\n\n{rows}")
    return tune


def rows_of(row: HeadingRow) -> str:
    """Rows without labels, so that nothing but the heading says how they are tuned."""
    if row.key == "instrument":
        return MANDOLIN
    return UNLABELLED if row.key == "tuning" else BANJO


def again(tune: rollstave.Tune, form: str) -> rollstave.Tune:
    (back,) = rollstave.read(rollstave.write(tune, form)[0])
    return back


# The table ----------------------------------------------------------------------------------


def test_no_two_rows_share_a_key_a_name_or_a_place() -> None:
    for values in (
        [row.key for row in HEADINGS],
        [row.name for row in HEADINGS],
        [row.kept for row in HEADINGS],
        [row.attribute for row in HEADINGS if row.attribute],
    ):
        assert len(values) == len(set(values))


def test_patterns_have_no_groups_but_the_value() -> None:
    """A group of its own would be taken for the number of a row, or hide the value."""
    for row in HEADINGS:
        assert row.words
        for pattern in (row.words, row.dashed):
            assert re.compile(pattern).groups == 0, pattern
        for pattern in (*row.bare, *row.at_the_head, *row.whole):
            assert list(re.compile(pattern, re.IGNORECASE).groupindex) == ["v"], pattern


def test_words_go_where_musicxml_can_keep_them() -> None:
    for row in ONLY_WORDS:
        assert row.kept.path in (CREATOR, RIGHTS, SOURCE, FIELD, TEMPO_WORDS), row.key
        assert not row.attribute or row.attribute in rollstave.Score.__struct_fields__


def test_what_means_more_than_its_words_is_typed_by_a_function() -> None:
    assert set(TYPED) == {row.key for row in HEADINGS if not row.only_words} == set(EXAMPLES)


# Each heading alone -------------------------------------------------------------------------


@BY_KEY
@pytest.mark.parametrize("case", [str.lower, str.upper, str.capitalize], ids=lambda c: c.__name__)
def test_a_heading_is_read_in_any_case(row: HeadingRow, case: Callable[[str], str]) -> None:
    tune = read(f"{case(row.name)}: {typed(row)}", rows=rows_of(row))
    assert found(row, tune.score)
    assert WORDS not in tune.score.notes
    assert not [p for p in tune.problems if p.severity is not rollstave.Severity.NOTICE]


@BY_KEY
@pytest.mark.parametrize("form", ["text", "musicxml"])
def test_a_heading_survives(row: HeadingRow, form: str) -> None:
    tune = read(f"{row.name}: {typed(row)}", rows=rows_of(row))
    back = again(tune, form)
    assert found(row, back.score)
    assert first_difference(tune.score, back.score) is None
    assert first_difference(tune.score, again(back, "text").score) is None


@BY_KEY
def test_a_heading_is_told_in_the_report(row: HeadingRow) -> None:
    plain = {f.subject for f in read(rows=rows_of(row)).findings if f.how is rollstave.How.DECLARED}
    told = read(f"{row.name}: {typed(row)}", rows=rows_of(row)).findings
    declared = {f.subject for f in told if f.how is rollstave.How.DECLARED}
    # The instrument is told by the name of its tuning; time is what the meter is called.
    expected = {"instrument": set(), "time": {"meter"}}.get(row.key, {row.key})
    assert declared - plain == expected
    if row.only_words:
        assert rollstave.Finding(row.key, WORDS, rollstave.How.DECLARED) in told


@BY_WORDS
def test_words_stand_on_sheet_and_page_as_the_row_says(row: HeadingRow) -> None:
    tune = read("Title: Two Oars", f"{row.name}: {WORDS}")
    sheet = etree.fromstring(rollstave.write(tune, "svg")[0])
    page = html.fromstring(rollstave.write(tune, "html")[0])
    on_the_sheet = [("".join(e.itertext())).strip() for e in sheet.iter("{*}text")]
    on_the_page = [("".join(e.itertext())).strip() for e in page.iter("li")]
    for lines in (on_the_sheet, on_the_page):
        assert lines.count(row.on_the_sheet(WORDS)) == (row.stands is not None)


@BY_WORDS
def test_words_are_valid_musicxml(row: HeadingRow) -> None:
    (data,) = rollstave.write(read("Title: Two Oars", f"{row.name}: {WORDS}"), "musicxml")
    root = etree.fromstring(data)
    assert musicxml_schema.errors(root) == []
    assert [e.text for e in root.iterfind(row.kept.found_at)] == [WORDS]


def test_another_reader_finds_the_arranger() -> None:
    """music21 reads a creator of type arranger (MusicXML 4.0) into its metadata."""
    (data,) = rollstave.write(read("Title: Two Oars", f"Arranger: {WORDS}"), "musicxml")
    assert music21.converter.parse(data, format="musicxml").metadata.arranger == WORDS


@BY_WORDS
def test_a_field_of_the_keys_name_is_as_good(row: HeadingRow) -> None:
    """A program that knows no element for a heading may keep it in a field of its name."""
    (data,) = rollstave.write(read("Title: Two Oars"), "musicxml")
    root = etree.fromstring(data)
    fields = etree.SubElement(root.find("identification"), "miscellaneous")
    etree.SubElement(fields, "miscellaneous-field", name=row.key).text = f" {WORDS}\n"
    (tune,) = rollstave.read(etree.tostring(root, xml_declaration=True, encoding="utf-8"))
    assert found(row, tune.score)


# All together -------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(6))
def test_all_together_in_any_order(seed: int) -> None:
    rows = [row for row in HEADINGS if row.key != "instrument"]
    shuffled = random.Random(seed).sample(rows, len(rows))
    tune = read(*(f"{row.name}: {typed(row)}" for row in shuffled), rows=UNLABELLED)
    backs = [again(tune, "text"), again(tune, "musicxml")]
    backs.append(again(backs[1], "text"))
    for back in backs:
        assert first_difference(tune.score, back.score) is None
    for score in (tune.score, *(back.score for back in backs)):
        # A capo raises the short string as well, but by what the heading for it says.
        assert [row.key for row in rows if not found(row, score)] == []
    assert musicxml_schema.errors(etree.fromstring(rollstave.write(tune, "musicxml")[0])) == []
    text = rollstave.write(tune, "text")[0].decode()
    names = [line.partition(":")[0] for line in text.splitlines() if ": " in line]
    assert names == [row.name for row in rows]


@pytest.mark.parametrize("words", ["counted from its own peg", "raised to A", "not raised"])
@pytest.mark.parametrize("capo", ["", "Capo: 2"])
def test_how_the_fifth_string_is_set_survives(words: str, capo: str) -> None:
    tab = BANJO.replace("-9-", "-2-") if "counted" in words else BANJO
    tune = read("Title: Two Oars", capo, f"Fifth string: {words}", rows=tab)
    back = again(tune, "musicxml")
    assert first_difference(tune.score, back.score) is None
    assert back.problems == ()


def test_a_heading_without_a_row_stays_words() -> None:
    tune = read("Title: Two Oars", "Weather: fine for rowing", "Key: G")
    assert tune.score.notes == ("Weather: fine for rowing",)
    assert again(tune, "text").score.notes == tune.score.notes
    assert again(tune, "musicxml").score.notes == tune.score.notes


def test_what_no_heading_is_for_is_said() -> None:
    """The types of a creator are free words (MusicXML 4.0, typed-text)."""
    (data,) = rollstave.write(read("Title: Two Oars", f"Composer: {WORDS}"), "musicxml")
    more = (
        b"<creator type='lyricist'>Odo Finch</creator><creator type='composer'>Una Reed</creator>"
    )
    (tune,) = rollstave.read(data.replace(b"<encoding>", more + b"<encoding>", 1))
    assert tune.score.composer == f"{WORDS}, Una Reed"
    (problem,) = tune.problems
    assert problem.code == "left-out"
    assert "creator 'lyricist'" in problem.message


def test_a_field_for_what_the_staff_says_is_left_out_and_said() -> None:
    (data,) = rollstave.write(read("Title: Two Oars"), "musicxml")
    field = b"<miscellaneous><miscellaneous-field name='tuning'>gCGCD</miscellaneous-field>"
    closing = b"</miscellaneous></identification>"
    (tune,) = rollstave.read(data.replace(b"</identification>", field + closing, 1))
    assert tune.score.setup.tuning.written == "gDGBD"
    assert [p.code for p in tune.problems] == ["left-out"]
