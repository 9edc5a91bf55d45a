"""Writing back: text tab that is read again gives the same score.

The check is a round trip: what was read (or built here) is the truth, the reader is the judge.
Looks (bars in line, chord names over their notes) are checked on the characters themselves.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

import rollstave
from rollstave.deciding.chords import chord_name
from rollstave.grid.typed import Bar, Link
from rollstave.instruments.setup import Setup
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.pitch import Key, spell
from rollstave.problems import Place
from rollstave.rhythm.meter import Meter
from rollstave.rhythm.timed import Source
from rollstave.score.compare import essence
from rollstave.score.records import Event, Measure, Note, Rhythm, Score
from rollstave.writing.text import write_text
from tests import tunes
from tests.amount import some
from tests.tunes import SAMPLES, SIGNS

NOWHERE = Place(1, 1)


def again(score: Score, width: int = 80) -> Score:
    (tune,) = rollstave.read(write_text(score, width))
    return tune.score


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
@pytest.mark.parametrize("width", [40, 80, 140])
def test_samples_come_back(path: Path, width: int) -> None:
    score = tunes.case(path.stem)
    assert essence(again(score, width)) == essence(score)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_writing_twice_gives_the_same_bytes(path: Path) -> None:
    score = tunes.case(path.stem)
    once = write_text(score)
    assert once == write_text(score)
    assert write_text(rollstave.read(once)[0].score) == once


def test_every_sign_comes_back() -> None:
    (tune,) = rollstave.read(SIGNS)
    assert essence(again(tune.score)) == essence(tune.score)


def test_formats_have_text() -> None:
    (tune,) = rollstave.read(SAMPLES[0])
    assert rollstave.write(tune, "text") == [write_text(tune.score)]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_bars_stand_in_line_and_lines_are_no_wider_than_asked(path: Path) -> None:
    (tune,) = rollstave.read(path)
    text = write_text(tune.score, 80).decode()
    rows = [line for line in text.split("\n") if "|" in line and "--" in line]
    assert len(rows) % 5 == 0
    for start in range(0, len(rows), 5):
        system = rows[start : start + 5]
        places = {tuple(i for i, c in enumerate(row) if c in "|:") for row in system}
        assert len(places) == 1
        assert len(system[0]) <= 80 or system[0].count("|") <= 3


def test_chord_names_stand_over_their_notes() -> None:
    (tune,) = rollstave.read(
        "Title: Two Quays\nTuning: open G\nKey: G\nTime: 4/4\n\n"
        "   G       D7\n"
        "D|-----0---------0-|\n"
        "B|---0-------1-----|\n"
        "G|-0-------2-----2-|\n"
        "D|-----------------|\n"
        "g|-------0-----0---|\n"
    )
    lines = write_text(tune.score).decode().split("\n")
    top = next(i for i, line in enumerate(lines) if line.startswith("D|"))
    # G over the first note on string 3, D7 over its second one.
    assert lines[top - 1].index("G") == lines[top + 2].index("0")
    assert lines[top - 1].index("D7") == lines[top + 2].index("2")


def test_other_instruments_come_back() -> None:
    text = (
        "Title: Harbour Scale\nTime: 4/4\nKey: C\n\n"
        "E|-------------0---|\nB|---------0-1-----|\nG|-----0-2---------|\n"
        "D|---2-------------|\nA|-3---------------|\nE|---------------3-|\n"
    )
    (tune,) = rollstave.read(text)
    assert tune.score.setup.instrument.name == "guitar"
    assert essence(again(tune.score)) == essence(tune.score)


# Generated scores --------------------------------------------------------------------------

_METERS = [Meter(4, 4), Meter(3, 4), Meter(2, 4), Meter(6, 8), Meter(2, 2)]
_CHORDS = ["G", "D7", "C", "Am", "Em", "F#m", "C/E", "Gmaj7"]


def _setups() -> st.SearchStrategy[Setup]:
    tunings = st.sampled_from(FIVE_STRING_BANJO.tunings)
    return st.builds(
        lambda tuning, capo, up: Setup(
            instrument=FIVE_STRING_BANJO, tuning=tuning, capo=capo, short_raise=up
        ),
        tunings,
        st.integers(0, 4),
        st.integers(0, 5),
    )


@st.composite
def _onsets(draw: st.DrawFn, meter: Meter) -> list[Fraction]:
    """Onsets on halves, quarters or thirds of a beat, the first one on the bar."""
    unit = draw(st.sampled_from([Fraction(1, 2), Fraction(1, 4), Fraction(1, 3)]))
    if meter.unit == 8:
        unit = draw(st.sampled_from([Fraction(1, 2), Fraction(1, 4)]))
    slots = int(meter.length / unit)
    chosen = draw(st.sets(st.integers(1, slots - 1), max_size=min(slots - 1, 8)))
    return [Fraction(0), *(unit * slot for slot in sorted(chosen))]


@st.composite
def _scores(draw: st.DrawFn) -> Score:
    # "aDADE, capo 2" is read as double C with a capo at 2, which is what people mean by it.
    setup = draw(_setups().filter(lambda s: not s.tuning.base or s.tuning.capo != s.capo))
    key = Key(draw(st.sampled_from(["G", "C", "D", "F", "A"])))
    meter = draw(st.sampled_from(_METERS))
    measures = []
    frets: dict[int, int] = {}
    for index in range(draw(st.integers(1, 6))):
        onsets = draw(_onsets(meter))
        events = []
        for onset, end in zip(onsets, [*onsets[1:], meter.length], strict=True):
            strings = draw(st.sets(st.integers(1, 5), min_size=1, max_size=2))
            notes = tuple(draw(_note(s, setup, key, frets)) for s in sorted(strings))
            events.append(Event(onset, end - onset, notes))
        chord = draw(st.none() | st.sampled_from(_CHORDS))
        measures.append(
            Measure(
                index=index,
                number=index + 1,
                length=meter.length,
                events=tuple(events),
                rhythm=Rhythm(confidence=1.0, sure=True, source=Source.WRITTEN, reasons=()),
                chords=(chord_name(chord, Fraction(0)),) if chord else (),
            )
        )
    right = draw(st.sampled_from([Bar.FINAL, Bar.REPEAT_END]))
    measures[-1] = replace(measures[-1], right=right)
    tempo = draw(st.none() | st.integers(40, 200))
    return Score(
        title="Made at the Quay",
        setup=setup,
        key=key,
        meter=meter,
        tempo=tempo * meter.beat if tempo else None,
        measures=tuple(measures),
    )


@st.composite
def _note(draw: st.DrawFn, string: int, setup: Setup, key: Key, frets: dict[int, int]) -> Note:
    """A note that the neck has; now and then hammered, pulled or slid from the one before."""
    lowest = 6 + max(0, setup.short_raise - setup.capo)
    high = st.integers(lowest, 15)
    fret = draw(st.just(0) | high if string == 5 else st.integers(0, 15))
    before = frets.get(string)
    link = None
    if before is not None and before != fret and draw(st.integers(0, 4)) == 0:
        link = draw(
            st.sampled_from([Link.HAMMER_ON if fret > before else Link.PULL_OFF, Link.SLIDE])
        )
    frets[string] = fret
    pitch = spell(setup.midi(string, fret), key.fifths)
    return Note(
        string=string,
        fret=fret,
        pitch=pitch,
        place=NOWHERE,
        link=link,
        ghost=draw(st.integers(0, 9)) == 0,
    )


@settings(max_examples=some(20, 120), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(_scores(), st.sampled_from([50, 80, 120]))
def test_generated_scores_come_back(score: Score, width: int) -> None:
    found = again(score, width)
    assert essence(found) == essence(score), write_text(score, width).decode()


def test_instruments_are_all_written_with_their_rows() -> None:
    for instrument in rollstave.known_instruments():
        setup = Setup(instrument, instrument.default)
        note = Note(string=1, fret=0, pitch=instrument.default.pitches[0], place=NOWHERE)
        event = Event(Fraction(0), Fraction(4), (note,))
        measure = Measure(
            index=0,
            number=1,
            length=Fraction(4),
            events=(event,),
            rhythm=Rhythm(confidence=1.0, sure=True, source=Source.WRITTEN, reasons=()),
        )
        score = Score(
            title="One Note",
            setup=setup,
            key=Key("C"),
            meter=Meter(4, 4),
            tempo=None,
            measures=(measure,),
        )
        found = again(score)
        assert found.setup == setup
