"""Every technique of the table, alone and with every other: text, MusicXML, the sheet.

The tests are made from the table: a row that is added is tested. The judges from outside are the
W3C schema of MusicXML 4.0 (PyPI package musicxml) and music21; the README is what is promised.
What a row says of the trade is common practice, no source.
"""

from __future__ import annotations

from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import music21
import pytest
from lxml import etree
from msgspec.structs import replace
from music21.musicxml.xmlObjects import ARTICULATION_MARKS, TECHNICAL_MARKS

import rollstave
from rollstave import TECHNIQUES, Link, Note, Score, Technique, Tune, techniques_of
from rollstave.score.compare import essence
from rollstave.vocabulary.hands import STROKES
from rollstave.vocabulary.signs import setting
from tests import musicxml_schema

README = Path(__file__).parents[2] / "README.md"
HEAD = "Title: Weir Lane\nTuning: gDGBD\nKey: G\nTime: 4/4\n\n"
# Its legend is what a row needs to be read at all.
LEGENDS = {row.name: "o = open" for row in TECHNIQUES if row.what == "fret"}
# What stands on a line of its own under the rows, each at a bare fret.
UNDER = {row.name: row.sign for row in STROKES}
EXAMPLES = [
    (row, typed) for row in TECHNIQUES for typed in (("2",) if row.name in UNDER else row.examples)
]
EMPTY = "-" * 33
COUNTED = "   1       2       3       4\n"
# String 1 is struck on beat 1, and in PAIR again on beat 3. A harmonic over fret 12 sounds what
# fret 12 does, so nothing else of a note changes with it.
PAIR = (
    f"{HEAD}D|-12{'-' * 14}12{'-' * 14}|\nB|{EMPTY}|\nG|{'-' * 9}0{'-' * 15}0{'-' * 7}|\n"
    f"D|{EMPTY}|\ng|{EMPTY}|\n{COUNTED}"
)
LONE = (
    f"{HEAD}D|-12{EMPTY[3:]}|\nB|{'-' * 17}0{'-' * 15}|\nG|{'-' * 9}0{'-' * 15}0{'-' * 7}|\n"
    f"D|{EMPTY}|\ng|{EMPTY}|\n{COUNTED}"
)
# The class of what is drawn, where it is not the drawing's name.
CLASSES = {"line": "slide", "edge": "slide", "brush": "brush", "grace": "grace"}


def named(item: object) -> str:
    return item.name.replace(" ", "-") if isinstance(item, Technique) else str(item)


def typed_in_a_tab(row: Technique, typed: str, legend: str = "") -> str:
    """A tab that begins with a typed cell on string 1; string 3 is struck later."""
    legend = legend or LEGENDS.get(row.name, "")
    cells = {"D": f"-{typed}", "G": f"{'-' * 16}0"}
    rows = "".join(f"{name}|{cells.get(name, ''):-<33}|\n" for name in "DBG")
    words = f"{legend}\n\n" if legend else ""
    under = f"   {UNDER[row.name]}\n" if row.name in UNDER else ""
    return f"{HEAD}{words}{rows}{''.join(f'{name}|{EMPTY}|' + chr(10) for name in 'Dg')}{under}"


def has(score: Score, row: Technique) -> bool:
    """Whether a technique is in a score."""
    events = [e for m in score.measures for e in m.events]
    notes = [n for e in events for n in e.notes]
    if row.event:
        return any(getattr(e, row.event) for e in events)
    if row.what == "link":
        return any(n.link is row.value for n in notes)
    if row.what == "fret":
        return any(n.string == 1 and n.fret == row.value for n in notes)
    if row.what == "rest":
        return len(notes) == 2
    return any(row in techniques_of(n) for n in notes)


def lost(tune: Tune) -> list[str]:
    return [p.message for p in tune.problems if p.code in ("unread", "legend-unread")]


def again(score: Score | Tune, form: str) -> Tune:
    (tune,) = rollstave.read(rollstave.write(score, form)[0])
    return tune


class Sheet:
    """What stands on a sheet: classes, digits, letters over the tab, and the words of the key."""

    def __init__(self, score: Score | Tune) -> None:
        self.classes: set[str] = set()
        self.words: dict[str, list[str]] = {}
        for page in rollstave.write(score, "svg"):
            for element in etree.fromstring(page).iter("{*}*"):
                names = (element.get("class") or "").split()
                self.classes.update(names)
                for name in names if etree.QName(element).localname == "text" else ():
                    said = "".join(str(part) for part in element.itertext())
                    self.words.setdefault(name, []).append(said)

    def shows(self, row: Technique, fret: str) -> bool:
        """Whether a technique of a note with a fret can be seen."""
        drawn = row.drawing or row.event
        if row.instead:
            return any(row.shown in shown for shown in self.digits)
        if row.shown:
            before, _, after = row.shown.format(fret).partition(fret)
            return any(before in w and after in w for w in self.digits)
        if row.letter and row.letter not in self.words.get("link", []):
            return False
        return bool(row.letter) or CLASSES.get(drawn, drawn) in self.classes

    @property
    def digits(self) -> list[str]:
        """What stands on the lines of the tab, and other short words but those of the key."""
        kept = (words for name, words in self.words.items() if not name.startswith("key"))
        return [w for words in kept for w in words if len(w) < 8]

    @property
    def key(self) -> list[str]:
        return self.words.get("key-words", [])


# Each row alone --------------------------------------------------------------------------------


@pytest.mark.parametrize(("row", "typed"), EXAMPLES, ids=named)
def test_text_there_and_back(row: Technique, typed: str) -> None:
    (tune,) = rollstave.read(typed_in_a_tab(row, typed))
    assert has(tune.score, row)
    assert lost(tune) == []
    back = again(tune, "text")
    assert lost(back) == []
    assert essence(back.score) == essence(tune.score)


@pytest.mark.parametrize(("row", "typed"), EXAMPLES, ids=named)
def test_musicxml_there_and_back(row: Technique, typed: str) -> None:
    (tune,) = rollstave.read(typed_in_a_tab(row, typed))
    root = etree.fromstring(rollstave.write(tune, "musicxml")[0])
    assert musicxml_schema.errors(root) == []
    back = again(tune, "musicxml")
    if row.held:
        # What is held is one long note in MusicXML; the same sounds for the same time.
        (held,) = (e for e in back.score.measures[0].events if e.notes and e.notes[0].string == 1)
        first, second = (
            e for e in tune.score.measures[0].events if e.notes and e.notes[0].string == 1
        )
        assert (held.onset, held.duration) == (first.onset, first.duration + second.duration)
    else:
        assert essence(back.score) == essence(tune.score)


@pytest.mark.parametrize(("row", "typed"), EXAMPLES, ids=named)
def test_the_sheet_shows_it_and_the_key_explains_it(row: Technique, typed: str) -> None:
    if row.what in ("rest", "fret"):
        pytest.skip("no sign of the sheet: it is a rest, or a fret")
    (tune,) = rollstave.read(typed_in_a_tab(row, typed))
    sheet = Sheet(tune)
    digits = "".join(c for c in typed if c.isdigit())
    assert sheet.shows(row, digits)
    explained = next((r for r in TECHNIQUES if r.name == row.key_of), row)
    if explained.key:
        assert any(explained.key in words for words in sheet.key)


@pytest.mark.parametrize("row", TECHNIQUES, ids=named)
def test_music21_finds_it_on_the_right_note(row: Technique) -> None:
    """music21's own tables say which class an element is; MusicXML 4.0 says of which note."""
    classes = {f"technical/{n}": c for n, c in TECHNICAL_MARKS.items()}
    classes |= {f"articulations/{n}": c for n, c in ARTICULATION_MARKS.items()}
    wanted = [classes[e.path] for e in row.elements if e.on != "both" and e.path in classes]
    if not wanted:
        pytest.skip("music21 has no mark of a note for it")
    (tune,) = rollstave.read(typed_in_a_tab(row, next(typed for r, typed in EXAMPLES if r is row)))
    events = tune.score.measures[0].events
    marked = [n for e in events for n in e.notes if _on(n, row)]
    marked += [e.notes[0] for e in events if row.event and getattr(e, row.event)]
    parsed = music21.converter.parseData(
        rollstave.write(tune, "musicxml")[0].decode(), format="musicxml"
    )
    found = {
        n.pitch.midi
        for n in parsed.recurse().notes
        if isinstance(n, music21.note.Note) and any(type(a) in wanted for a in n.articulations)
    }
    assert found == {n.pitch.midi for n in marked}


def _on(note: Note, row: Technique) -> bool:
    return note.link is row.value if row.what == "link" else row in techniques_of(note)


# Each row with every other ---------------------------------------------------------------------

TOGETHER = [row for row in TECHNIQUES if row.what in ("link", "mark", "edge")]


def makes_sense(one: Technique, other: Technique) -> bool:
    """Whether two techniques can be those of one note: a note is reached in one way, slides away
    in one way, is struck downwards or upwards, and what has no pitch is not bent, held or made to
    ring."""
    reached = [r for r in (one, other) if r.what == "link" or r.field == "slide_from"]
    away = [r for r in (one, other) if r.field == "slide_to"]
    both_ways = {r.event for r in (one, other)} == {row.field for row in STROKES}
    silent = any(r.instead for r in (one, other)) and any(r.held for r in (one, other))
    return len(reached) < 2 and len(away) < 2 and not silent and not both_ways


PAIRS = [pair for pair in combinations(TOGETHER, 2) if makes_sense(*pair)]


@cache
def base(text: str) -> Score:
    (tune,) = rollstave.read(text)
    return tune.score


def played(rows: tuple[Technique, ...]) -> Score:
    """A score with a note that has all of these techniques: the second of its string where a link
    must lead there."""
    linked = any(row.what == "link" for row in rows)
    score = base(PAIR if linked else LONE)
    measure = score.measures[0]
    index = max(i for i, e in enumerate(measure.events) if e.notes and e.notes[0].string == 1)
    event = measure.events[index]
    note = event.notes[0]
    changes: dict[str, Any] = {}
    for row in rows:
        if row.event:
            event = replace(event, **{row.event: True})
            continue
        if row.instead:
            note = replace(note, fret=None, pitch=rollstave.Pitch("D", 0, 4))
        changes = setting(row, note)
        note = replace(note, **changes)
    if note.link is not None:
        note = replace(note, finger=None, inferred_finger=False)
    events = list(measure.events)
    events[index] = replace(event, notes=(note,))
    return replace(score, measures=(replace(measure, events=tuple(events)),))


@pytest.mark.parametrize("rows", PAIRS, ids=lambda rows: "+".join(map(named, rows)))
def test_two_on_one_note(rows: tuple[Technique, ...]) -> None:
    score = played(rows)
    assert all(has(score, row) for row in rows)
    text = again(score, "text")
    assert lost(text) == []
    assert essence(text.score) == essence(score)
    if not any(row.held for row in rows):  # one long note in MusicXML: see above
        assert essence(again(score, "musicxml").score) == essence(score)


def test_the_sheet_shows_both() -> None:
    unseen = []
    for rows in PAIRS:
        sheet = Sheet(played(rows))
        unseen += [(named(row), rows) for row in rows if not sheet.shows(row, "12")]
    assert [names for names, _ in unseen] == []


# The table itself ------------------------------------------------------------------------------


def test_the_readme_has_the_table() -> None:
    lines = README.read_text(encoding="utf-8").splitlines()
    start = lines.index("| in a row | means |") + 2
    found = []
    for line in lines[start:]:
        if not line.startswith("|"):
            break
        found.append(line)
    assert found == [
        f"| {' '.join(f'`{typed}`' for typed in row.examples)} | {row.says} |"
        for row in TECHNIQUES
        if row.examples
    ]


def test_every_link_has_a_row() -> None:
    assert {row.value for row in TECHNIQUES if row.what == "link"} == set(Link)


def test_names_are_different_and_other_rows_exist() -> None:
    names = [row.name for row in TECHNIQUES]
    assert len(set(names)) == len(names)
    others = {name for row in TECHNIQUES for name in (row.other, row.key_of) if name}
    assert others <= set(names)


# Taps ------------------------------------------------------------------------------------------


def test_a_tap_is_on_the_note_that_is_tapped() -> None:
    """MusicXML 4.0: tap is "a technical of the note"; 5t7 taps fret 7, t12 a first note."""
    for cell, tapped in (("5t7", {"7"}), ("t12", {"12"})):
        row = next(r for r in TECHNIQUES if r.name == "tap")
        (tune,) = rollstave.read(typed_in_a_tab(row, cell))
        root = etree.fromstring(rollstave.write(tune, "musicxml")[0])
        frets = {
            n.findtext("notations/technical/fret")
            for n in root.iter("note")
            if n.findtext("staff") == "2" and n.find("notations/technical/tap") is not None
        }
        assert frets == tapped


@pytest.mark.parametrize("typed", ["h5", "5h------", "=5"])
def test_a_sign_that_leads_from_or_to_nothing_is_said(typed: str) -> None:
    row = next(r for r in TECHNIQUES if r.name == "hammer-on")
    (tune,) = rollstave.read(typed_in_a_tab(row, typed))
    assert len(lost(tune)) == 1


# Legends ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("legend", "cell", "name"),
    [
        ("* = vibrato", "5*", "vibrato"),
        ("(2) = let ring", "(5)", "let ring"),
        ("^ = hammer-on", "2^4", "hammer-on"),
        ("o = open", "o", "open string"),
        ("t = slide", "2t4", "slide"),
    ],
)
def test_a_legend_is_read_once_and_kept(legend: str, cell: str, name: str) -> None:
    row = next(r for r in TECHNIQUES if r.name == name)
    (tune,) = rollstave.read(typed_in_a_tab(row, cell, legend))
    assert [(s.means, s.line) for s in tune.score.signs] == [(name, legend)]
    assert tune.score.signs == tune.grid.signs
    assert has(tune.score, row)
    for form in ("text", "musicxml"):
        back = again(tune, form)
        assert back.score.signs == tune.score.signs
        assert essence(back.score) == essence(tune.score)


def test_a_rest_letter_of_a_legend_is_a_rest_beside_a_note_too() -> None:
    row = next(r for r in TECHNIQUES if r.name == "rest")
    (tune,) = rollstave.read(typed_in_a_tab(row, "5r--5"))
    (other,) = rollstave.read(typed_in_a_tab(row, "5r--5", "r = rest"))
    assert [n.link for e in tune.score.measures[0].events for n in e.notes].count(Link.TIE) == 1
    assert [n.link for e in other.score.measures[0].events for n in e.notes].count(Link.TIE) == 0
