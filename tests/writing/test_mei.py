"""MEI: what Verovio makes of it, staff and tab in step."""

from __future__ import annotations

import json
import re
from fractions import Fraction
from types import SimpleNamespace

import pytest
import verovio
from lxml import etree

import rollstave
from rollstave.notating.notation import notate
from rollstave.score.records import Score
from rollstave.writing.mei import NAMESPACE
from rollstave.writing.mei_notes import nested
from tests import tunes

_ID = re.compile(r"(?P<staff>[nt])(?P<measure>\d+)-(?P<event>\d+)-(?P<part>\d+)-(?P<string>\d)$")


@pytest.fixture(scope="module")
def timemap(name: str) -> list[dict[str, object]]:
    toolkit = verovio.toolkit()
    # Verovio 6.4 plays repeats out in the timemap by itself, endings wrongly; the score is not
    # played out here.
    toolkit.setOptions({"expandNever": True})
    assert toolkit.loadData(tunes.written(name, "mei")[0].decode())
    found = toolkit.renderToTimemap({"includeMeasures": True})
    return list(json.loads(found) if isinstance(found, str) else found)


def _struck(timemap: list[dict[str, object]], key: str) -> dict[str, float]:
    """Time in quarter notes by id of note, of what starts (``on``) or ends (``off``)."""
    found: dict[str, float] = {}
    for moment in timemap:
        for each in moment.get(key, []):  # type: ignore[attr-defined]
            found[str(each)] = float(moment["qstamp"])  # type: ignore[arg-type]
    return found


def _events(score: Score) -> dict[tuple[int, int, int], tuple[Fraction, Fraction]]:
    """Start and end of every note of a score by measure, event and string."""
    found = {}
    start = Fraction(0)
    for measure in score.measures:
        for index, event in enumerate(measure.events):
            for note in event.notes:
                onset = start + event.onset
                found[measure.index, index, note.string] = (onset, onset + event.duration)
        start += measure.length
    return found


# Verovio 6.4's timemap gives times in quarter notes as decimals: a triplet is right to 1/1000.
NEAR = 0.001


def test_onsets_are_the_scores(name: str, timemap: list[dict[str, object]]) -> None:
    # Verovio 6.4, timemap.
    events = _events(tunes.case(name))
    seen: dict[str, set[tuple[int, int, int]]] = {"n": set(), "t": set()}
    for each, when in _struck(timemap, "on").items():
        match = _ID.match(each)
        assert match, each
        address = (int(match["measure"]), int(match["event"]), int(match["string"]))
        if match["part"] == "0":
            assert when == pytest.approx(float(events[address][0]), abs=NEAR)
            seen[match["staff"]].add(address)
        else:
            assert events[address][0] < when + NEAR < events[address][1] + NEAR
    assert seen["n"] == seen["t"] == set(events)


def test_ends_are_the_scores(name: str, timemap: list[dict[str, object]]) -> None:
    # Verovio 6.4, timemap: the last tied part of each note ends where the score says.
    events = _events(tunes.case(name))
    last: dict[tuple[str, int, int, int], float] = {}
    for each, when in _struck(timemap, "off").items():
        match = _ID.match(each)
        assert match, each
        key = (match["staff"], int(match["measure"]), int(match["event"]), int(match["string"]))
        last[key] = max(when, last.get(key, 0.0))
    for address, (_, end) in events.items():
        for staff in "nt":
            assert last[staff, *address] == pytest.approx(float(end), abs=NEAR)


def test_staff_and_tab_in_step(name: str, timemap: list[dict[str, object]]) -> None:
    # Verovio 6.4, timemap: what starts on the staff starts on the tab at the same moment. A tied
    # head on the staff does not start anew, its digit in parentheses on the tab does.
    on = _struck(timemap, "on")
    for each, when in on.items():
        if each.startswith("n"):
            assert on["t" + each[1:]] == when
        elif each.split("-")[2] == "0":
            assert on["n" + each[1:]] == when


def test_measures_start_where_the_score_says(name: str, timemap: list[dict[str, object]]) -> None:
    # Verovio 6.4, timemap.
    found = [(m["measureOn"], m["qstamp"]) for m in timemap if "measureOn" in m]
    expected = tunes.starts(name)
    assert [f[0] for f in found] == [f"m{i}" for i in range(len(expected) - 1)]
    for (_, when), start in zip(found, expected, strict=False):
        assert when == pytest.approx(float(start), abs=NEAR)


def test_every_head_is_on_both_staves(name: str) -> None:
    root = etree.fromstring(tunes.written(name, "mei")[0])
    ids = [
        note.get("{http://www.w3.org/XML/1998/namespace}id", "")
        for note in root.iter(f"{{{NAMESPACE}}}note")
    ]
    assert len(ids) == len(set(ids))
    staff = {i[1:] for i in ids if i.startswith("n")}
    tab = {i[1:] for i in ids if i.startswith("t")}
    assert staff == tab
    heads = sum(len(s.heads) for m in notate(tunes.case(name)) for s in m.symbols)
    assert len(staff) == heads


def test_course_one_is_the_top_line() -> None:
    # Seen with Verovio 6.4 (notationtype tab.guitar): course 1 is the top line. Tuning of the
    # lantern tune, gCGBD: string 1 is D4, string 5 is G4 (common practice).
    root = etree.fromstring(tunes.written("lantern-stairs", "mei")[0])
    tuning = {
        course.get("n"): f"{course.get('pname')}{course.get('oct')}"
        for course in root.iter(f"{{{NAMESPACE}}}course")
    }
    assert tuning == {"1": "d4", "2": "b3", "3": "g3", "4": "c3", "5": "g4"}


def test_nothing_but_small_integers_reaches_the_engraver(name: str) -> None:
    # Verovio 6.4 aborts the process on a tab.fret that is no small integer.
    root = etree.fromstring(tunes.written(name, "mei")[0])
    frets = [note.get("tab.fret") for note in root.iter(f"{{{NAMESPACE}}}note")]
    tab = [fret for fret in frets if fret is not None]
    assert tab
    assert all(fret.isdigit() and 0 <= int(fret) <= 24 for fret in tab)


def test_fingers_of_the_left_hand_point_at_their_notes() -> None:
    # MEI 5.1, fing: the text is the finger, startid the note.
    text = """Title: Reed Pier
Tuning: gDGBD
Time: 2/4

D|-0-------2-----2-|
B|-------------1---|
G|-----2-----------|
D|-----------------|
g|-----------------|
   1   &   2   & a
LH     2   3   1 3
"""
    (tune,) = rollstave.read(text)
    written = [
        (n.string, n.left_finger)
        for m in tune.score.measures
        for e in m.events
        for n in e.notes
        if n.left_finger
    ]
    assert written
    root = etree.fromstring(rollstave.write(tune, "mei")[0])
    ids = {e.get("{http://www.w3.org/XML/1998/namespace}id"): e for e in root.iter()}
    found = [
        (int(ids[str(f.get("startid"))[1:]].get("tab.course", "0")), int(f.text or 0))
        for f in root.iter("{http://www.music-encoding.org/ns/mei}fing")
    ]
    assert found == written


def test_the_head_says_whose_and_what_it_is_in_the_words_of_mei() -> None:
    """MEI 5.1: ``titleStmt`` has the title and who is responsible, by role; after it stands
    ``pubStmt``, and ``notesStmt`` has annotations."""
    text = "Title: Two Oars\nComposer: The school\nTuning: gDGBD\n\nPlay it slowly.\n\n"
    (tune,) = rollstave.read(text + "\n".join(f"{n}|-0---0---|" for n in "DBGDg"))
    root = etree.fromstring(rollstave.write(tune, "mei")[0])
    (head,) = root.iter(f"{{{NAMESPACE}}}fileDesc")
    assert [etree.QName(e).localname for e in head] == ["titleStmt", "pubStmt", "notesStmt"]
    title, who = head[0]
    assert (etree.QName(title).localname, title.text) == ("title", "Two Oars")
    assert [(p.get("role"), p.text) for p in who] == [("composer", "The school")]


def test_beams_and_tuplets_stand_in_each_other_and_never_across() -> None:
    """An element of XML cannot end within another that goes on."""

    def symbols(beams: str, tuplets: str) -> list[SimpleNamespace]:
        pairs = zip(beams, tuplets, strict=True)
        return [
            SimpleNamespace(**{k: None if c == "-" else int(c) for k, c in named.items()})
            for named in ({"beam": b, "tuplet": t} for b, t in pairs)
        ]

    for beams, tuplets, wanted in (
        ("111-", "---2", [(0, 3, "beam"), (3, 4, "tuplet")]),
        ("1111", "-22-", [(0, 4, "beam"), (1, 3, "tuplet")]),
        ("-11-", "2222", [(0, 4, "tuplet"), (1, 3, "beam")]),
        ("1111--", "--2222", [(2, 6, "tuplet")]),
        ("--1111", "2222--", [(0, 4, "tuplet")]),
        ("11-22-", "------", [(0, 2, "beam"), (3, 5, "beam")]),
    ):
        assert nested(symbols(beams, tuplets)) == wanted  # type: ignore[arg-type]
