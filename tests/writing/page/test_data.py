"""What the page is told, without a browser: order, times, pitches, voices, tuning; its bytes."""

from __future__ import annotations

import json
import re
from fractions import Fraction
from typing import Any

import music21
import pytest

import rollstave
from rollstave.deciding.retuning import retuned
from rollstave.deciding.voices import drones, picking_fingers
from rollstave.score.links import NoteAddress
from rollstave.writing.page.timing import play_data
from tests import tunes


def _block(html: bytes) -> dict[str, Any]:
    match = re.search(rb'<script type="application/json" id="score">(.*?)</script>', html, re.S)
    assert match
    found = json.loads(match[1])
    assert isinstance(found, dict)
    return found


def test_the_block_in_the_page_is_the_data(name: str) -> None:
    assert _block(tunes.written(name, "html")[0]) == json.loads(
        json.dumps(play_data(tunes.case(name)))
    )


@pytest.mark.parametrize("name", ["ferry-landing", "slate-roof-rain", "nettle-hill"])
def test_repeats_are_played_out_as_music21_does(name: str) -> None:
    """music21 expands the repeats of our MusicXML by itself: the same measures in that order."""
    data = play_data(tunes.case(name))
    stream = music21.converter.parse(tunes.written(name, "musicxml")[0], format="musicxml")
    part = stream.parts[0].expandRepeats()
    numbers = [m.number for m in part.getElementsByClass(music21.stream.Measure)]
    assert [data["measures"][m]["number"] for m in data["order"]] == numbers


def test_times_and_pitches_add_up(name: str) -> None:
    """Starts are the sum of what went before; every note is there with its pitch, its fret and
    its ids, which are those of the engraving on the page."""
    score = tunes.case(name)
    data = play_data(score)
    now = Fraction(0)
    for start, index in zip(data["starts"], data["order"], strict=True):
        assert start == pytest.approx(float(now), abs=1e-6)
        now += score.measures[index].length
    assert data["length"] == pytest.approx(float(now), abs=1e-6)
    html = tunes.written(name, "html")[0].decode()
    for measure, told in zip(score.measures, data["measures"], strict=True):
        for event, said in zip(measure.events, told["events"], strict=True):
            assert said["at"] == pytest.approx(float(event.onset), abs=1e-6)
            for note, spoken in zip(event.notes, said["notes"], strict=True):
                assert spoken["midi"] == note.pitch.midi
                assert (spoken["string"], spoken["fret"]) == (note.string, note.fret)
                for drawn in spoken["ids"]:
                    assert f'id="w186-{drawn}"' in html
            for part in said.get("held", []):
                assert all(f'id="w186-{drawn}"' in html for drawn in part["ids"])


def test_no_id_is_given_twice(name: str) -> None:
    ids = re.findall(r'\sid="([^"]+)"', tunes.written(name, "html")[0].decode())
    assert len(ids) == len(set(ids))


def test_drones_of_ferry_landing() -> None:
    """By hand, after the rule stated in deciding/voices.py. Measure 1 is an alternating thumb roll
    over strings 3 2 5 1: strings 2 and 1 fill in between open, 5 is the short string, the tune is
    on string 3. In measure 3 strings 1 and 2 are fretted and so belong to the tune."""
    found = drones(tunes.case("ferry-landing"))
    strings = {m: {a.string for a in found if a.measure == m} for m in (1, 3)}
    assert strings == {1: {1, 2, 5}, 3: {5}}


def test_the_left_hand_goes_with_the_finger_that_struck() -> None:
    """Measure 2 of Ferry Landing begins with a slide 2s4 on string 3 that the thumb picks."""
    fingers = picking_fingers(tunes.case("ferry-landing").measures)
    assert fingers[NoteAddress(2, 1, 3)].value == "T"


def test_what_has_to_be_tuned() -> None:
    """Sawmill, gDGCD, is open G with the second string a semitone up (common practice)."""
    (change,) = retuned(tunes.setup("gDGCD"))
    assert (change.string, change.semitones) == (2, 1)
    assert retuned(tunes.setup("gDGBD", capo=2, raised=2)) == ()
    page = tunes.written("nettle-hill", "html")[0].decode()
    assert "string 2 up 1 semitone, from B3 to C4" in page
    assert "can break it" in page
    assert "can break it" not in tunes.written("ferry-landing", "html")[0].decode()


def test_same_input_same_bytes() -> None:
    score = tunes.case("ferry-landing")
    assert rollstave.write(score, "html") == rollstave.write(score, "html")


@pytest.mark.parametrize("view", list(rollstave.View))
def test_each_view_has_its_notes(view: rollstave.View) -> None:
    options = rollstave.SheetOptions(view=view)
    html = rollstave.write(tunes.case("ferry-landing"), "html", options)[0].decode()
    assert ('id="w186-n1-0-0-3"' in html) == view.has_staff
    assert ('id="w186-t1-0-0-3"' in html) == view.has_tab


def test_an_excerpt_makes_a_page() -> None:
    options = rollstave.SheetOptions(measures=(3, 4))
    data = _block(rollstave.write(tunes.case("ferry-landing"), "html", options)[0])
    assert [m["number"] for m in data["measures"]] == [3, 4]


def test_no_address_of_the_network_is_in_the_page(name: str) -> None:
    """Nothing to load, nothing to link to, from anywhere."""
    html = tunes.written(name, "html")[0].decode()
    assert not re.search(r'(?:src|href)="(?!data:|#)', html)
    assert "url(http" not in html
    assert "http://" not in html.replace("http://www.w3.org/2000/svg", "")
    assert "https://" not in html


def test_grace_notes_take_their_time_from_their_note() -> None:
    tab = """Title: Reed Pier
Tuning: gDGBD
Time: 2/4

D|-----0-------0---|
B|---------0-------|
G|-{2}h3-----------|
D|-----------------|
g|-----------------|
      1   &   2
"""
    (tune,) = rollstave.read(tab)
    (first, *_) = play_data(tune.score)["measures"][0]["events"]
    # A third of the eighth note at the most: 1/2 * 1/3, and a thirty-second if that is less.
    assert first["small"] == 0.125
    assert [[n["midi"] for n in group] for group in first["grace"]] == [[57]]
    assert {n["string"]: n.get("link") for n in first["notes"]} == {1: None, 3: "hammer-on"}


def test_shapes_say_from_where_they_are_held_as_on_the_sheet() -> None:
    """Also in words, for who does not see the drawings; nothing for a chord of one shape."""
    html = tunes.written("copper-weathervane", "html")[0].decode()
    shown = re.findall(r'class="shape-place[^"]*">([^<]+)<', html)
    assert shown == ["from", "mm. 1, 11,", "15", "from m. 3", "from", "mm. 9, 13", "from m. 10"]
    assert ", from measures 1, 11, 15" in html
    assert html.count("from measure ") == html.count("from measures ") == 2
