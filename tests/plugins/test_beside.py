"""Two versions of a tune beside each other: on one sheet, in one MusicXML file, on one page.

What stands under what is measured on the drawing. The MusicXML is held against the W3C's schema,
and music21 reads it.
"""

from __future__ import annotations

import re
import shutil
from itertools import pairwise
from pathlib import Path

import music21
import pytest
from click.testing import CliRunner
from lxml import etree
from msgspec.structs import replace

import rollstave
from rollstave import Score
from rollstave.cli.main import main
from rollstave.contract.manager import Contract
from tests import musicxml_schema
from tests.plugins.arranging import use_arranging
from tests.tunes import SAMPLES, case
from tests.writing.page.conftest import Open
from tests.writing.page.conftest import browser as browser
from tests.writing.page.conftest import open_page as open_page

NAMES = [path.stem for path in SAMPLES]
SVG = "{http://www.w3.org/2000/svg}"
KINDS: dict[str, dict[str, object]] = {
    "tuning": {"tuning": "gCGCD"},
    "key": {"key": "A"},
    "position": {"position": "5-9"},
    "easier": {"easier": 4},
}


@pytest.fixture(autouse=True)
def arranging(monkeypatch: pytest.MonkeyPatch) -> Contract:
    return use_arranging(monkeypatch)


def both(name: str, kind: str = "position") -> Score:
    score = case(name)
    return rollstave.beside(score, rollstave.rework(score, kind, **KINDS[kind]))


def other_of(score: Score) -> Score:
    assert score.beside is not None
    return score.beside.score


# The sheet ------------------------------------------------------------------------------------


def digits(pages: list[bytes]) -> dict[str, tuple[int, float, float]]:
    """Every fret of a tab by its id: page, x and y. Those of the lower tab begin with b."""
    found = {}
    for page, data in enumerate(pages):
        root = etree.fromstring(data)
        for group in root.iter(f"{SVG}g"):
            name = re.sub(r"^rs-.*?-(?:\d+-)?(?=b?t\d)", "", group.get("id", ""))
            text = group.find(f".//{SVG}text[@class='fret']")
            if text is None or not re.fullmatch(r"b?t\d+-\d+-\d+-\d+", name):
                continue
            down = sum(
                float(g.get("transform", "").partition("(")[2].rstrip(")").split()[-1] or 0)
                for g in group.iterancestors(f"{SVG}g")
                if g.get("transform", "").startswith("translate")
            )
            found[name] = page, float(text.get("x", "0")), float(text.get("y", "0")) + down
    return found


@pytest.mark.parametrize("name", NAMES)
def test_what_sounds_together_stands_under_each_other(name: str) -> None:
    score = both(name)
    places = digits(rollstave.write(score, "svg"))
    other = other_of(score)
    pairs = 0
    for upper, lower in zip(score.measures, other.measures, strict=True):
        at = {e.onset: (i, e) for i, e in enumerate(lower.events) if e.notes}
        for index, event in enumerate(upper.events):
            if not event.notes or event.onset not in at:
                continue
            under, its = at[event.onset]
            one = places[f"t{upper.index}-{index}-0-{event.notes[0].string}"]
            two = places[f"bt{upper.index}-{under}-0-{its.notes[0].string}"]
            assert one[0] == two[0]
            assert abs(one[1] - two[1]) <= 40  # units: a sixth of a digit, where one has two
            assert one[2] < two[2]
            pairs += 1
    assert pairs > 20


@pytest.mark.parametrize("kind", KINDS)
def test_every_note_of_both_is_on_the_sheet(kind: str) -> None:
    score = both("slate-roof-rain", kind)
    places = digits(rollstave.write(score, "svg"))
    for prefix, version in (("t", score), ("bt", other_of(score))):
        for measure in version.measures:
            for index, event in enumerate(measure.events):
                for note in event.notes:
                    assert f"{prefix}{measure.index}-{index}-0-{note.string}" in places


@pytest.mark.parametrize("view", [rollstave.View.BOTH, rollstave.View.TAB])
def test_the_two_tabs_of_a_system_do_not_touch(view: rollstave.View) -> None:
    score = both("nettle-hill")
    pages = rollstave.write(score, "svg", rollstave.SheetOptions(view=view))
    rows: dict[tuple[int, int], dict[bool, list[float]]] = {}
    for name, (page, _, y) in digits(pages).items():
        measure = int(name.lstrip("bt").partition("-")[0])
        rows.setdefault((page, measure), {True: [], False: []})[name[0] == "b"].append(y)
    # A space between two tab lines is 315 units, so these are more than two of them apart.
    for lines in rows.values():
        if lines[True] and lines[False]:
            assert min(lines[True]) - max(lines[False]) > 2 * 315


def words(pages: list[bytes], kind: str) -> list[str]:
    found = []
    for data in pages:
        for text in etree.fromstring(data).iter(f"{SVG}text"):
            if text.get("class") == kind:
                found.append(text.text or "")
    return found


def test_the_lower_tab_says_what_it_is_on_every_system() -> None:
    pages = rollstave.write(both("ferry-landing", "key"), "svg")
    said = words(pages, "version")
    assert said[0].startswith("in A major, ")
    assert set(said[1:]) == {"in A major"}
    assert words(pages, "beside")[0].startswith("Lower tab: in A major")
    assert "Capo 2" in " ".join(words(pages, "beside"))


def test_long_words_of_the_lower_tab_stand_whole_in_the_head() -> None:
    score = case("lantern-stairs")
    other = rollstave.rework(score, "tuning", tuning="gDGBD")
    said = " ".join(words(rollstave.write(rollstave.beside(score, other), "svg"), "beside"))
    assert len(other.says) > 120  # longer than a line
    assert f"Lower tab: {other.says} Tuning: " in said


def test_names_of_chords_stand_twice_only_where_they_differ() -> None:
    alone = words(rollstave.write(case("ferry-landing"), "svg"), "chord")
    assert words(rollstave.write(both("ferry-landing"), "svg"), "chord") == alone
    score = case("ferry-landing")
    named = rollstave.rework(score, "key", key="A", by="fretting")
    pages = rollstave.write(rollstave.beside(score, named), "svg")
    assert len(words(pages, "chord")) == 2 * len(alone)


def test_a_score_without_another_version_is_drawn_as_ever() -> None:
    score = both("ferry-landing")
    alone = rollstave.write(case("ferry-landing"), "svg")
    assert rollstave.write(replace(score, beside=None), "svg") == alone


def test_some_measures_of_both() -> None:
    options = rollstave.SheetOptions(measures=(2, 3), title_block=False)
    (page,) = rollstave.write(both("ferry-landing"), "svg", options)
    found = {name.partition("-")[0] for name in digits([page])}
    assert found == {"t0", "t1", "bt0", "bt1"}


def test_measures_that_do_not_go_together_are_refused() -> None:
    score = case("ferry-landing")
    made = rollstave.rework(score, "position", position="5-9")
    short = replace(made.score, measures=made.score.measures[:-1])
    with pytest.raises(rollstave.TabError, match="cannot stand under each other"):
        rollstave.beside(score, replace(made, score=short))


# MusicXML and MEI -----------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", NAMES)
def test_the_file_keeps_to_the_schema(name: str, kind: str) -> None:
    (data,) = rollstave.write(both(name, kind), "musicxml")
    assert musicxml_schema.errors(etree.fromstring(data)) == []


@pytest.mark.parametrize("kind", KINDS)
def test_music21_reads_both_versions(kind: str) -> None:
    score = both("quince-orchard-waltz", kind)
    (data,) = rollstave.write(score, "musicxml")
    read = music21.converter.parseData(data.decode(), format="musicxml")
    parts = list(read.parts)
    lower = parts[-1]
    assert len(parts) == 3  # music21 makes a part of each staff
    lengths = [
        [m.duration.quarterLength for m in p.getElementsByClass(music21.stream.Measure)]
        for p in parts
    ]
    assert lengths[0] == lengths[1] == lengths[2]
    heard = [
        pitch.midi
        for one in lower.recurse().notes
        if not isinstance(one, music21.harmony.Harmony)
        and (one.tie is None or one.tie.type == "start")
        for pitch in one.pitches
    ]
    wanted = [n.pitch.midi for m in other_of(score).measures for e in m.events for n in e.notes]
    assert sorted(heard) == sorted(wanted)


def test_the_second_part_has_its_own_tuning_and_only_a_tab() -> None:
    (data,) = rollstave.write(both("ferry-landing", "tuning"), "musicxml")
    root = etree.fromstring(data)
    first, second = root.findall("part")
    assert len(first.findall(".//staff-details")) == 1
    assert second.find(".//staves") is None
    assert second.find(".//note/staff") is None
    tuned = [
        f"{t.findtext('tuning-step')}{t.findtext('tuning-octave')}"
        for t in second.iter("staff-tuning")
    ]
    assert tuned == ["G4", "C3", "G3", "C4", "D4"]  # double C: common practice
    names = [name.text for name in root.iter("part-name")]
    assert names[0] == "Five-string banjo"
    assert names[1] == f"Five-string banjo, {both('ferry-landing', 'tuning').beside.says}"  # type: ignore[union-attr]


def test_mei_has_a_third_staff_with_ids_of_its_own() -> None:
    (data,) = rollstave.write(both("ferry-landing"), "mei")
    root = etree.fromstring(data)
    mei = "{http://www.music-encoding.org/ns/mei}"
    assert [d.get("n") for d in root.iter(f"{mei}staffDef")] == ["1", "2", "3"]
    ids = [e.get("{http://www.w3.org/XML/1998/namespace}id") for e in root.iter()]
    given = [name for name in ids if name]
    assert len(given) == len(set(given))
    for measure in root.iter(f"{mei}measure"):
        assert [s.get("n") for s in measure.findall(f"{mei}staff")] == ["1", "2", "3"]


# The page -------------------------------------------------------------------------------------


def test_the_page_has_both_versions_and_no_id_twice() -> None:
    score = both("slate-roof-rain")
    (data,) = rollstave.write(score, "html")
    html = data.decode()
    assert html.count('data-version="1"') == 5  # four widths, and the button
    assert html.count("<button") > 10
    assert "Up the neck, frets " in html
    alone = rollstave.write(case("slate-roof-rain"), "html")[0].decode()
    assert "score-beside" not in alone.partition("<script")[0]
    assert 'data-version="' not in alone


def test_the_page_changes_between_them_and_stays_where_it_is(open_page: Open) -> None:
    score = both("slate-roof-rain")
    opened = open_page(score)
    opened.press("ArrowRight", "ArrowRight", "ArrowRight")
    before = opened.state()
    opened.page.click("button[data-version='1']")
    opened.wait_for("document.querySelector('.engraving.shown [id^=v1]') !== null")
    assert opened.page.evaluate("rollstave.version") == 1
    after = opened.state()
    assert (after["measure"], after["event"]) == (before["measure"], before["event"])
    shown = opened.page.inner_text("ul.facts:not([hidden])")
    assert "Capo 2" in shown
    opened.press("v")
    opened.wait_for("rollstave.version === 0")
    opened.wait_for("document.querySelector('.engraving.shown [id^=v1]') === null")


def test_what_sounds_is_the_version_that_is_shown(open_page: Open) -> None:
    score = both("ferry-landing")
    opened = open_page(score)
    opened.page.click("button[data-version='1']")
    opened.wait_for("document.querySelector('.engraving.shown [id^=v1]') !== null")
    opened.page.click("#play")
    opened.play_until("window.heard.length >= 12")
    heard = [h["lit"] for h in opened.page.evaluate("window.heard") if h["lit"]]
    assert heard
    assert all(name.startswith("v1") for lit in heard for name in lit)
    wanted = [
        {f"t{m.index}-{i}-0-{n.string}" for n in e.notes}
        for m in other_of(score).measures
        for i, e in enumerate(m.events)
        if e.notes
    ]
    lit = [{name.partition("-")[2] for name in each if "-t" in name} for each in heard]
    assert lit == wanted[: len(lit)]
    times = [h["quarter"] for h in opened.page.evaluate("window.heard")]
    assert all(a < b for a, b in pairwise(times))


# The command ----------------------------------------------------------------------------------


def run(tmp_path: Path, *more: str) -> tuple[int, str, set[str]]:
    file = shutil.copy(next(p for p in SAMPLES if p.stem == "ferry-landing"), tmp_path)
    result = CliRunner().invoke(main, ["rework", str(file), "--easier", "1", "--beside", *more])
    made = {p.name for p in tmp_path.iterdir() if not p.name.startswith(".")}
    return result.exit_code, result.output, made - {"ferry-landing.txt"}


def test_the_command_writes_paper_unless_it_is_told_otherwise(tmp_path: Path) -> None:
    assert run(tmp_path)[::2] == (0, {"ferry-landing-easier-beside.pdf"})


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--to", "text"), "--beside cannot be written as text; it can as musicxml"),
        (("--to", "svg,midi"), "cannot be written as midi"),
        (("--view", "staff"), "--view staff has none"),
    ],
)
def test_what_cannot_show_both_is_refused(tmp_path: Path, more: tuple[str, ...], said: str) -> None:
    code, output, made = run(tmp_path, *more)
    assert code == 2
    assert said in output
    assert not made
