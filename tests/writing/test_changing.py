"""A tune may change in its midst: what is typed between systems is in every format.

The tunes are generated; what holds in each of their measures is known from how they were made.
music21, partitura and Verovio read what is written, repeats played out.
"""

from __future__ import annotations

import io
from fractions import Fraction
from functools import cache
from typing import Any

import mido
import pytest
from lxml import etree
from msgspec.structs import replace

import rollstave
from rollstave.score.compare import first_difference
from rollstave.score.excerpt import excerpt
from rollstave.writing.page.timing import play_data
from tests import musicxml_schema
from tests.amount import some
from tests.writing.changing import FIFTHS, OPEN, VALUES, Changing, Held, at_random, with_one_change
from tests.writing.test_sheet_geometry import overlapping, texts

RANDOM = [at_random(seed) for seed in range(some(6, 60))]
EACH = [tune for kind in VALUES for tune in with_one_change(kind)]
SOME = [*RANDOM, *EACH[:: some(5, 1)]]


@cache  # many tests look at each
def read(tune: Changing) -> rollstave.Score:
    (found,) = rollstave.read(tune.text())
    return found.score


@cache
def musicxml(tune: Changing) -> bytes:
    (data,) = rollstave.write(read(tune), "musicxml")
    return data


def held(score: rollstave.Score) -> list[tuple[str, ...]]:
    """What the score says of each measure, as headings would."""
    each = zip(score.meters, score.keys, score.tempos, score.setups, strict=True)
    return [
        (str(meter), str(key), str(tempo), setup.tuning.written, str(setup.capo or "none"))
        for meter, key, tempo, setup in each
    ]


def wanted(tune: Changing) -> list[tuple[str, ...]]:
    found: list[tuple[str, ...]] = []
    tempo = tune.held[0].quarters
    for before, one in zip((tune.held[0], *tune.held), tune.held, strict=False):
        # A number that is not said again is not counted again in another beat.
        tempo = one.quarters if one.tempo != before.tempo else tempo
        found.append((one.time, one.key, str(tempo), one.tuning, one.capo))
    return found


@pytest.mark.parametrize("tune", [*RANDOM, *EACH])
def test_what_is_typed_between_systems_holds_from_there_on(tune: Changing) -> None:
    score = read(tune)
    assert held(score) == wanted(tune)
    assert [m.length for m in score.measures] == [one.length for one in tune.held]
    for measure, one in zip(score.measures, tune.held, strict=True):
        for note in (n for event in measure.events for n in event.notes):
            assert note.pitch.midi == one.open_strings[note.string - 1]


@pytest.mark.parametrize("tune", SOME)
def test_text_and_back(tune: Changing) -> None:
    score = read(tune)
    (again,) = rollstave.read(rollstave.write(score, "text")[0])
    assert first_difference(score, again.score) is None
    assert held(again.score) == wanted(tune)


@pytest.mark.parametrize("tune", SOME)
def test_musicxml_and_back(tune: Changing) -> None:
    score = read(tune)
    data = musicxml(tune)
    assert musicxml_schema.errors(etree.fromstring(data).getroottree().getroot()) == []
    (again,) = rollstave.read(data)
    assert held(again.score) == wanted(tune)
    assert first_difference(score, again.score) is None


# Other programs -----------------------------------------------------------------------------


@pytest.mark.parametrize("tune", RANDOM)
def test_music21_reads_the_same_in_each_measure_that_is_played(tune: Changing) -> None:
    from music21 import converter, key, meter, tempo

    data = musicxml(tune)
    part = converter.parseData(data, format="musicxml").parts[0].expandRepeats()
    measures = list(part.getElementsByClass("Measure"))
    times = [(m.timeSignature or m.getContextByClass(meter.TimeSignature)) for m in measures]
    assert [t.ratioString for t in times] == [tune.held[i].time for i in tune.order]
    keys = [(m.keySignature or m.getContextByClass(key.KeySignature)) for m in measures]
    assert [k.sharps for k in keys] == [FIFTHS[tune.held[i].key] for i in tune.order]
    kind = tempo.MetronomeMark
    marks = [m[kind].first() or m.getContextByClass(kind) for m in measures]
    said = [wanted(tune)[i][2] for i in tune.order]
    assert [mark.getQuarterBPM() for mark in marks] == [float(Fraction(one)) for one in said]


@pytest.mark.parametrize("tune", RANDOM)
def test_partitura_reads_the_same_at_each_measure(tune: Changing) -> None:
    import partitura as pt
    from partitura.score import Measure

    # It knows major and minor.
    plain = tuple(replace(h, key=h.key.replace("A mixolydian", "D major")) for h in tune.held)
    data = io.BytesIO(musicxml(replace(tune, held=plain)))
    part = pt.load_musicxml(data)[0]
    found, signs = [], []
    for measure in part.iter_all(Measure):
        beats, unit, _ = part.time_signature_map(measure.start.t)
        found.append(f"{int(beats)}/{int(unit)}")
        signs.append(int(part.key_signature_map(measure.start.t)[0]))
    assert found == [one.time for one in tune.held]
    assert signs == [FIFTHS[one.key] for one in tune.held]


@pytest.mark.parametrize("tune", RANDOM)
@pytest.mark.parametrize("by", ["rollstave", "Verovio, from MusicXML", "Verovio, from MEI"])
def test_what_is_played_changes_where_its_measures_begin(tune: Changing, by: str) -> None:
    """The MIDI file of this project, and those that Verovio makes. Verovio does not say again what
    holds where a repeat goes back to, so it plays each measure once."""
    if by != "rollstave":
        tune = replace(tune, repeats=())
    score = read(tune)
    if by == "rollstave":
        data = rollstave.write(score, "midi")[0]
    else:
        mei = "MEI" in by
        data = _played_by_verovio(rollstave.write(score, "mei")[0] if mei else musicxml(tune))
    file = mido.MidiFile(file=io.BytesIO(data))
    times = _in_force(file, "time_signature", lambda m: f"{m.numerator}/{m.denominator}")
    assert _at(times, tune) == [tune.held[i].time for i in tune.order]
    tempos = _in_force(file, "set_tempo", lambda m: round(mido.tempo2bpm(m.tempo), 1))
    said = [wanted(tune)[i][2] for i in tune.order]
    assert _at(tempos, tune) == [float(Fraction(one)) for one in said]


def _played_by_verovio(data: bytes) -> bytes:
    import base64

    import verovio

    toolkit = verovio.toolkit()
    assert toolkit.loadData(data.decode())
    return base64.b64decode(toolkit.renderToMIDI())


def _in_force(file: mido.MidiFile, kind: str, value: Any) -> list[tuple[Fraction, Any]]:
    """What messages of a kind say, each with its time in quarter notes."""
    found: dict[Fraction, Any] = {}
    for track in file.tracks:
        now = 0
        for message in track:
            now += message.time
            if message.type == kind:
                found[Fraction(now, file.ticks_per_beat)] = value(message)
    return sorted(found.items())


def _at(said: list[tuple[Fraction, Any]], tune: Changing) -> list[Any]:
    """What holds at the beginning of each measure that is played."""
    found, now = [], Fraction(0)
    for index in tune.order:
        found.append([value for time, value in said if time <= now][-1])
        now += tune.held[index].length
    return found


def test_an_excerpt_begins_with_what_holds_there() -> None:
    tune = Changing((Held(), Held(time="3/4"), Held(time="3/4"), Held()))
    found = excerpt(read(tune), 3, 4)
    assert held(found) == [
        ("3/4", "G major", "100", "gDGBD", "none"),
        ("4/4", "G major", "100", "gDGBD", "none"),
    ]
    assert found.measures[0].change is None


def test_a_time_over_a_measure_of_a_system_begins_there() -> None:
    """As crooked tunes have it (common practice, no source)."""
    rows = """\
D|-0---0---0---0---|-0---0---|-0---0---0---0---|
B|-----------------|---------|-----------------|
G|-----------------|---------|-----------------|
D|-----------------|---------|-----------------|
g|-----------------|---------|-----------------|

"""
    over = " " * 19 + "2/4       4/4\n"
    head = "Title: Bent Oar\nTuning: gDGBD\nTime: 4/4\n\n"
    (tune,) = rollstave.read(head + rows.replace("|---------", "") + over + rows)
    assert [str(m) for m in tune.score.meters][-3:] == ["4/4", "2/4", "4/4"]


def test_a_part_that_is_played_again_has_its_own_time() -> None:
    rows = "\n".join(f"{label}|{'-0-------' if label == 'D' else '-' * 9}|" for label in "DBGDg")
    text = (
        f"Title: Bent Oar\nTuning: gDGBD\nTime: 2/4\n\nA part\n{rows}\n\nB part\n\nTime: 4/4\n\n"
        f"{rows.replace('-|', '---------|')}\n\nA part again\n\n{rows}\n"
    )
    (tune,) = rollstave.read(text)
    assert [str(m) for m in tune.score.meters] == ["2/4", "4/4", "2/4", "2/4"]


def test_a_heading_under_the_last_system_speaks_of_the_whole_tune() -> None:
    rows = "\n".join(f"{label}|-0---0---0---|" for label in "DBGDg")
    (tune,) = rollstave.read(f"Title: Bent Oar\n\n{rows}\n\nTime: 3/4\n")
    assert [str(m) for m in tune.score.meters] == ["3/4"]
    assert tune.score.measures[0].change is None


def test_a_time_that_nobody_names_at_the_beginning_is_pointed_out() -> None:
    rows = "\n".join(f"{label}|-0---0---0---0---|" for label in "DBGDg")
    (tune,) = rollstave.read(f"Title: Bent Oar\n\n{rows}\n\nTime: 2/2\n\n{rows}\n")
    assert "at the beginning" in next(p.message for p in tune.problems if p.code == "meter-assumed")


def test_a_tempo_before_which_none_is_written() -> None:
    """At the beginning nothing is marked; what is played then is 100 beats a minute."""
    rows = "\n".join(f"{label}|-0---0---0---0---|" for label in "DBGDg")
    text = f"Title: Bent Oar\nTuning: gDGBD\nTime: 4/4\nKey: G\n\n{rows}\n\nTempo: 72\n\n{rows}\n"
    (tune,) = rollstave.read(text)
    assert tune.score.tempos == (None, 72)
    assert tune.score.sounding_tempos == (100, 72)
    (again,) = rollstave.read(rollstave.write(tune, "musicxml")[0])
    assert again.score.tempos == (None, 72)
    (typed,) = rollstave.read(rollstave.write(tune, "text")[0])
    assert typed.score.tempos == (None, 72)


def test_the_page_plays_each_stretch_at_its_tempo() -> None:
    tune = Changing((Held(), Held(tempo="72"), Held(tempo="72")), ((0, 1),))
    data = play_data(read(tune))
    assert data["tempo"] == 100
    assert data["tempos"] == [[4, 72], [8, 100], [12, 72]]


def test_a_new_tempo_stands_over_its_measure() -> None:
    tune = Changing((Held(), Held(), Held(tempo="72"), Held(tempo="72")))
    page = etree.fromstring(rollstave.write(read(tune), "svg")[0])
    marks = page.findall(".//{*}g[@class='tempo']")
    assert ["".join(mark.itertext()) for mark in marks] == ["= 72"]


@pytest.mark.parametrize(
    "line",
    ["Tuning: gCGCD", "Retune to gCGCD", "retune: double C", "Tuned to gCGCD", "Retune gCGCD"],
)
def test_ways_to_say_that_it_is_tuned_anew(line: str) -> None:
    rows = ["\n".join(f"{c}|-0---0---0---0---|" for c in names) for names in ("DBGDg", "DCGCg")]
    text = f"Title: Bent Oar\nTuning: gDGBD\nTime: 4/4\n\n{rows[0]}\n\n{line}\n\n{rows[1]}\n"
    (tune,) = rollstave.read(text)
    assert [s.tuning.written for s in tune.score.setups] == ["gDGBD", "gCGCD"]


@pytest.mark.parametrize(("line", "capo"), [("Capo 2", 2), ("Capo: 3", 3), ("Capo off", 0)])
def test_ways_to_say_that_the_capo_is_moved(line: str, capo: int) -> None:
    rows = "\n".join(f"{label}|-0---0---0---0---|" for label in "DBGDg")
    text = f"Title: Bent Oar\nTuning: gDGBD\nCapo: 1\nTime: 4/4\n\n{rows}\n\n{line}\n\n{rows}\n"
    (tune,) = rollstave.read(text)
    assert [s.capo for s in tune.score.setups] == [1, capo]
    assert tune.score.measures[1].events[0].notes[0].pitch.midi == 62 + capo  # D4 and so many frets


def test_a_tuning_that_nobody_named_before_is_that_of_the_whole_tune() -> None:
    rows = "\n".join(f"{label}|-0---0---0---0---|" for label in "12345")
    (tune,) = rollstave.read(f"Title: Bent Oar\nTime: 4/4\n\n{rows}\n\nTuning: gCGCD\n\n{rows}\n")
    assert [s.tuning.written for s in tune.score.setups] == ["gCGCD", "gCGCD"]


def sounding(score: rollstave.Score) -> list[list[list[int]]]:
    return [[[n.pitch.midi for n in e.notes] for e in m.events] for m in score.measures]


def test_a_tune_that_is_tuned_anew_is_reworked_stretch_by_stretch() -> None:
    """By arithmetic: the same pitches in one tuning, or every pitch two semitones up."""
    tune = read(Changing((Held(), Held(tuning="gCGCD"), Held())))
    there = rollstave.rework(tune, "tuning", tuning="gCGBD").score
    assert {setup.tuning.written for setup in there.setups} == {"gCGBD"}
    assert sounding(there) == sounding(tune)
    up = rollstave.rework(tune, "key", semitones=2).score
    raised = [[[midi + 2 for midi in e] for e in m] for m in sounding(tune)]
    assert sounding(up) == raised
    assert [m.number for m in up.measures] == [m.number for m in tune.measures]


def test_why_a_stretch_cannot_be_reworked_is_said_of_its_measures() -> None:
    tune = read(Changing((Held(), Held(tuning="gCGCD"))))
    with pytest.raises(rollstave.TabError) as refused:
        rollstave.rework(tune, "position", position="90-95")
    said = refused.value.problems[0].message
    assert "measure 1" in said
    assert "measure 2" in said


def test_what_is_set_up_anew_stands_over_its_measure() -> None:
    tune = Changing((Held(), Held(tuning="gCGCD", capo="2"), Held(tuning="gCGCD", capo="2")))
    page = etree.fromstring(rollstave.write(read(tune), "svg")[0])
    words = ["".join(t.itertext()) for t in page.findall(".//{*}text[@class='setup']")]
    assert words == ["Tune to gCGCD, capo 2"]


OVER = ("   G", "Part B", "[B]", "Slowly now, and hold the last note", "1.", "D.C.")


@pytest.mark.parametrize("over", OVER)
@pytest.mark.parametrize("new", [Held(tuning="gCGCD"), Held(tempo="144")], ids=["setup", "tempo"])
def test_nothing_stands_on_what_is_new(new: Held, over: str) -> None:
    """What else is said over the same measure keeps clear of the words for a new tuning, and of a
    new tempo (common practice, no source)."""
    change, drawn = (
        ("Tempo: 144\n", "tempo") if new.tempo == "144" else ("Tuning: gCGCD\n", "setup")
    )
    first, then = Changing((Held(), new)).text().split(change)
    (tune,) = rollstave.read(f"{first}{change}\n{over}\n{then.lstrip()}")
    root = etree.fromstring(rollstave.write(tune, "svg")[0])
    classes = [e.get("class") for e in root.iter("{*}text", "{*}g")]
    assert drawn in classes
    assert list(overlapping(texts(root))) == []


@pytest.mark.parametrize("tune", RANDOM[:3])
def test_music21_and_back(tune: Changing) -> None:
    """Through the objects of music21, as the plugin makes them and takes them."""
    from rollstave_music21.from_stream import to_tab
    from rollstave_music21.to_stream import to_score

    text, _ = to_tab(to_score(read(tune)))
    (again,) = rollstave.read(text)
    assert held(again.score) == wanted(tune)


_STEPS = {"c": 0, "d": 2, "e": 4, "f": 5, "g": 7, "a": 9, "b": 11}


@pytest.mark.parametrize("kind", ["tuning", "time"])
def test_mei_tells_the_strings_where_they_are_tuned_otherwise_and_nowhere_else(kind: str) -> None:
    """``<course>`` in ``<tuning>`` of a ``<staffDef>`` (MEI 5, module stringtab)."""
    tune = with_one_change(kind)[0]
    root = etree.fromstring(rollstave.write(read(tune), "mei")[0])
    (section,) = root.iterfind(".//{*}section")
    told = [
        tuple(
            12 * (int(c.get("oct", "")) + 1) + _STEPS[c.get("pname", "")]
            for c in tuning.iterfind("{*}course")
        )
        for tuning in section.iterfind(".//{*}tuning")
    ]
    pairs = zip(tune.held, tune.held[1:], strict=False)
    assert told == [OPEN[now.tuning] for before, now in pairs if now.tuning != before.tuning]
