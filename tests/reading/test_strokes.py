"""Which way the hand strikes, and the guitar's letters p i m a c: typed, kept, written, drawn.

That D, arrows and v beside ^ are strokes is common practice, no source; so are p, i, m, a, c. The
judges of what is written are MusicXML 4.0 (``down-bow``: "used both for down-bowing on bowed
instruments, and down-stroke on plucked instruments"; ``pluck``: "typical values are p, i, m, a"),
its W3C schema, music21 and MEI 5.1 (data.ARTICULATION).
"""

from __future__ import annotations

import music21
import pytest
from lxml import etree

import rollstave
from rollstave.reporting.compared import differences
from rollstave.score.compare import essence
from rollstave.vocabulary.hands import FINGERS, STROKE_PAIRS, FingerRow
from tests import musicxml_schema

HEAD = "Title: Gravel on the Quay\nInstrument: ukulele\nTuning: GCEA\nTime: 4/4\nKey: C\n\n"
ROWS = ("A|-0---0-0---0-0-0-|", "E|-0---0-0---0-0-0-|", "C|-2---2-2---2-2-2-|")
SYSTEM = "\n".join((*ROWS, "G|-2---2-2---2-2-2-|"))
MANDOLIN = HEAD.replace("ukulele", "mandolin").replace("GCEA", "GDAE").replace("Key: C", "Key: D")
PICKED = """E|-------------0-2-|
A|-----0-2-3-5-----|
D|-0-4-------------|
G|-----------------|"""
GUITAR = """Title: The Tallow Lamp
Instrument: guitar
Tuning: EADGBE
Time: 4/4
Key: C

E|-------0-------0-|-------0-----------|
B|-----1---1---1---|-----1-----1-------|
G|---0-------0-----|---0---------------|
D|-----------------|-------------------|
A|-3---------------|-0-----------------|
E|-----------------|-------------------|
"""


def one(text: str) -> rollstave.Tune:
    (tune,) = rollstave.read(text)
    return tune


def ways(tune: rollstave.Tune) -> str:
    """D and U for each event that is struck, a dot for one of which nothing is said."""
    events = [e for m in tune.score.measures for e in m.events if e.notes]
    return "".join("D" * e.down_stroke + "U" * e.up_stroke or "." for e in events)


def letters(tune: rollstave.Tune) -> str:
    events = [e for m in tune.score.measures for e in m.events if e.notes]
    found = ["".join(n.finger.value for n in e.notes if n.finger) for e in events]
    return " ".join(text or "." for text in found)


def codes(tune: rollstave.Tune) -> set[str]:
    return {p.code for p in tune.problems if p.severity is not rollstave.Severity.NOTICE}


@pytest.mark.parametrize(("down", "up"), STROKE_PAIRS)
def test_each_pair_under_the_rows(down: str, up: str) -> None:
    step = max(len(down), len(up))
    rows = "\n".join(f"{n}|" + "-" + ("0" + "-" * step) * 6 + "|" for n in "AECG")
    line = "   " + "".join(s.ljust(step + 1) for s in (down, down, up, up, down, up))
    tune = one(f"{HEAD}{rows}\n{line}\n")
    assert ways(tune) == "DDUUDU"
    assert "strokes" in {p.code for p in tune.problems}
    assert codes(tune) <= {"meter-assumed", "measure-length"}
    assert all(e.lyric is None for m in tune.score.measures for e in m.events)


def test_over_the_rows_and_chords_stay_chords() -> None:
    tune = one(f"{HEAD}   D\n   D   D U   U D U\n{SYSTEM}\n")
    assert ways(tune) == "DDUUDU"
    assert [c.text for c in tune.score.measures[0].chords] == ["D"]


def test_lone_d_over_rows_is_a_chord() -> None:
    tune = one(f"{HEAD}   D       D\n{SYSTEM}\n")
    assert ways(tune) == "......"
    assert [c.text for c in tune.score.measures[0].chords] == ["D", "D"]


def test_the_last_line_has_one_way_only() -> None:
    last = "\n".join(f"{n}|-0-------0-------|" for n in "AECG")
    tune = one(f"{HEAD}{SYSTEM}\n   D   D U   U D U\n\n{last}\n   D       D  (let it ring)\n")
    assert ways(tune) == "DDUUDUDD"
    assert "let it ring" in " ".join(tune.score.notes)


@pytest.mark.parametrize(
    "legend",
    [
        "x = down, o = up",
        "x is a down strum, o is an up strum",
        "downstroke = x   upstroke = o",
        "x = downstroke   o = upstroke",
        "x: down-stroke; o: up-stroke",
    ],
)
def test_a_legend_says_which(legend: str) -> None:
    tune = one(f"{HEAD}{legend}\n\n{SYSTEM}\n   x   x o   o x o\n")
    assert ways(tune) == "DDUUDU"
    assert all(not e.brush for m in tune.score.measures for e in m.events)


@pytest.mark.parametrize("typed", ["p i m a m i m a", "i m a m i m a i"])
def test_letters_are_named_where_no_thumb_tells_them(typed: str) -> None:
    """A line of i, m and a alone may be anything; one with p is the right hand's (p i m a)."""
    head, rows = GUITAR.split("\n\n")
    first = "\n".join("|".join(row.split("|")[:2]) + "|" for row in rows.strip().split("\n"))
    tune = one(f"{head}\n\n{first}\nRH {typed}\n")
    assert letters(tune).replace("T", "P").lower() == typed
    written = rollstave.write(tune, "text")[0].decode()
    assert typed in written
    assert ("RH" in written.split()) is ("p" not in typed)
    assert letters(one(written)) == letters(tune)


def test_a_sentence_with_one_letter_and_up_is_no_legend() -> None:
    """Chords may stand under the rows; a name of one must not become a stroke."""
    words = "The last G is up at the seventh fret"
    tune = one(f"{HEAD}{words}\n\n{SYSTEM}\n   G       G\n")
    assert ways(tune) == "......"
    assert [c.text for c in tune.score.measures[0].chords] == ["G", "G"]


def test_a_legend_turns_arrows_round() -> None:
    legend = "\u2191 = down (towards the floor)   \u2193 = up"
    tune = one(f"{HEAD}{legend}\n\n{SYSTEM}\n   \u2191   \u2191 \u2193   \u2193 \u2191 \u2193\n")
    assert ways(tune) == "DDUUDU"


def test_arrows_that_begin_upwards_are_left_in_doubt() -> None:
    # Along the strings of a tab, the lowest below, a down-stroke is an arrow that points up.
    tune = one(f"{HEAD}{SYSTEM}\n   \u2191   \u2191 \u2193   \u2193 \u2191 \u2193\n")
    assert ways(tune) == "......"


def test_single_notes_of_a_pick() -> None:
    tune = one(f"{MANDOLIN}{PICKED}\n   v ^ v ^ v ^ v ^\n")
    assert ways(tune) == "DUDUDUDU"
    assert codes(tune) == set()


def test_words_that_are_sung_stay_words() -> None:
    tune = one(f"{HEAD}{SYSTEM}\n   Up  and down   we  row\n")
    assert ways(tune) == "......"


STRUMMED = f"{HEAD}{SYSTEM}\n   D   D U   U D U\n\n{SYSTEM}\n   D   D D   U D U\n"


@pytest.mark.parametrize("form", ["text", "musicxml"])
@pytest.mark.parametrize(
    "text",
    [
        STRUMMED,
        STRUMMED.replace("U", "D"),
        f"{MANDOLIN}{PICKED}\n   v ^ v ^ v ^ v ^\n",
        f"{GUITAR}   p i m a m i m a   p i m a   m\n",
        f"{GUITAR}   p i m c m i m a   p i m a\n",
        f"{GUITAR}                     p\n",
    ],
)
def test_there_and_back(text: str, form: str) -> None:
    tune = one(text)
    back = one(rollstave.write(tune, form)[0].decode())
    assert essence(back.score) == essence(tune.score)
    assert codes(back) == set()


def test_musicxml_says_bows_once_a_chord() -> None:
    root = etree.fromstring(rollstave.write(one(STRUMMED), "musicxml")[0])
    assert musicxml_schema.errors(root) == []
    told = [e.tag for n in root.iter("note") for e in n.iterfind("notations/technical/*")]
    staves = len(root.findall(".//clef"))
    assert (told.count("down-bow"), told.count("up-bow")) == (7 * staves, 5 * staves)
    chords = [n for n in root.iter("note") if n.find("chord") is not None]
    assert not [n for n in chords if n.find("notations/technical/down-bow") is not None]


def test_music21_finds_the_strokes() -> None:
    made = rollstave.write(one(STRUMMED), "musicxml")[0].decode()
    part = music21.converter.parseData(made, format="musicxml").parts[0]
    found = [
        "D" if isinstance(mark, music21.articulations.DownBow) else "U"
        for struck in part.recurse().notes
        if not isinstance(struck, music21.harmony.Harmony)
        for mark in struck.articulations
        if isinstance(mark, music21.articulations.DownBow | music21.articulations.UpBow)
    ]
    assert "".join(found) == "DDUUDUDDDUDU"


def test_mei_has_articulations() -> None:
    root = etree.fromstring(rollstave.write(one(STRUMMED), "mei")[0])
    found = [e.get("artic") for e in root.iter("{*}chord") if e.get("artic")]
    assert found == [{"D": "dnbow", "U": "upbow"}[way] for way in "DDUUDUDDDUDU"]


def test_the_sheet_draws_them_and_its_key_says_what_they_are() -> None:
    page = etree.fromstring(rollstave.write(one(STRUMMED), "svg")[0])
    classes = [e.get("class") for e in page.iter("{*}g")]
    assert (classes.count("down-stroke"), classes.count("up-stroke")) == (7, 5)
    words = {"".join(e.itertext()) for e in page.iter("{*}text") if e.get("class") == "key-words"}
    assert {"down-stroke", "up-stroke"} <= words


@pytest.mark.parametrize("row", FINGERS, ids=lambda row: row.guitar)
def test_each_letter_of_the_guitar(row: FingerRow) -> None:
    letter = row.guitar
    tune = one(f"{GUITAR}   p i m {letter}\n")
    assert letters(tune).split()[:4] == ["T", "I", "M", row.letter]
    made = etree.fromstring(rollstave.write(tune, "musicxml")[0])
    assert {e.text for e in made.iter("pluck")} == {"p", "i", "m", letter}
    page = etree.fromstring(rollstave.write(tune, "svg")[0])
    drawn = [e.text for e in page.iter("{*}text") if e.get("class") == "finger"]
    assert drawn == ["p", "i", "m", letter]


def test_letters_without_a_thumb() -> None:
    assert letters(one(f"{GUITAR}   p i m a m i m a   p i m a   m\n")) == (
        "T I M A M I M A T I M A M"
    )
    assert letters(one(f"{GUITAR}   a m i a m i m a\n")).startswith("A M I A M I M A")


def test_a_banjo_keeps_its_own_letters() -> None:
    rows = "\n".join(f"{n}|{'-0---' if n == 'G' else '---0-'}|" for n in "DBGDg")
    text = f"Title: Pail\nTuning: gDGBD\n\n{rows}\n   T M\n"
    page = etree.fromstring(rollstave.write(one(text), "svg")[0])
    drawn = [e.text for e in page.iter("{*}text") if (e.get("class") or "").startswith("finger")]
    assert set(drawn) <= {"T", "I", "M"}


def test_counts_keep_their_a() -> None:
    tune = one(f"{HEAD}{SYSTEM}\n   1   2 &   & 4 a\n")
    assert letters(tune) == ". . . . . ."


def test_a_comparison_tells_the_stroke() -> None:
    old, new = one(STRUMMED), one(STRUMMED.replace("D   D D   U", "D   U D   U"))
    words = [d.words for d in differences(old.score, new.score)]
    assert len(words) == 1
    assert "stroke" in words[0]
