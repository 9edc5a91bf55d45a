"""Tab in music21, judged by music21: its parsing, its repeats, its analyses; and back to tab.

The reference library is music21 itself. What repeats sound like is compared with rollstave's own
MIDI file, read by mido.
"""

from __future__ import annotations

import io
import subprocess
import sys
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from pathlib import Path

import mido
import pytest
from music21 import (
    articulations,
    bar,
    chord,
    converter,
    corpus,
    harmony,
    note,
    repeat,
    spanner,
    stream,
)

import rollstave
import rollstave_music21
from rollstave.deciding.playback import play_order
from rollstave.score.compare import essence
from tests.vocabulary.test_techniques import EXAMPLES, has, named, typed_in_a_tab

SAMPLES = Path(__file__).parents[2] / "samples"

TUNES = sorted(SAMPLES.glob("*.txt"))
PLUGINS = sorted((SAMPLES / "plugins").glob("*.txt"))


@pytest.fixture(autouse=True)
def _registered() -> Iterator[None]:
    rollstave_music21.register()
    yield
    rollstave_music21.unregister()


@cache
def tune_of(path: Path) -> rollstave.Tune:
    (tune,) = rollstave.read(path)
    return tune


@cache
def parsed(path: Path) -> stream.Score:
    """What music21 reads by the plugin; no test changes it."""
    found = converter.parse(str(path), forceSource=True, storePickle=False)
    assert isinstance(found, stream.Score)
    return found


@pytest.mark.parametrize("path", TUNES, ids=lambda p: p.stem)
def test_every_note_keeps_its_string_fret_pitch_onset_and_letter(path: Path) -> None:
    tune = tune_of(path)
    score = parsed(path)
    part = score.parts[0]
    wanted, found = [], []
    for measure in tune.score.measures:
        for event in measure.events:
            for one in event.notes:
                letter = one.finger.value if one.finger else None
                place = (measure.number, event.onset, one.string, one.fret)
                wanted.append((*place, one.pitch.midi, letter))
    for measure in part.getElementsByClass(stream.Measure):
        for struck in measure.getElementsByClass([note.Note, chord.Chord]):
            if isinstance(struck, harmony.ChordSymbol):
                continue
            for one in struck.notes if isinstance(struck, chord.Chord) else [struck]:
                marks = {type(mark): mark for mark in one.articulations}
                pluck = marks.get(articulations.FrettedPluck)
                fret = marks.get(articulations.FretIndication)
                found.append(
                    (
                        measure.number,
                        Fraction(struck.offset),
                        marks[articulations.StringIndication].number,
                        fret.number if fret else None,
                        one.pitch.midi,
                        pluck.fingerNumber if pluck else None,
                    )
                )
    assert sorted(found, key=str) == sorted(wanted, key=str)
    assert len(wanted) > 80


@pytest.mark.parametrize("path", TUNES, ids=lambda p: p.stem)
def test_expanded_repeats_sound_as_the_midi_file_does(path: Path) -> None:
    tune = tune_of(path)
    score = parsed(path)
    played = score.parts[0].expandRepeats()
    found: list[int] = []
    for struck in played.flatten().getElementsByClass([note.Note, chord.Chord]):
        if not isinstance(struck, harmony.ChordSymbol):
            found.extend(sorted(p.midi for p in struck.pitches))
    (data,) = rollstave.write(tune, "midi")
    times: dict[int, list[int]] = {}
    now = 0
    for message in mido.merge_tracks(mido.MidiFile(file=io.BytesIO(data)).tracks):
        now += message.time
        if message.type == "note_on" and message.velocity:
            times.setdefault(now, []).append(message.note)
    assert len(found) == pytest.approx(sum(map(len, times.values())), abs=3)
    assert set(found) == {n for notes in times.values() for n in notes}


@pytest.mark.parametrize("path", [*TUNES, *PLUGINS], ids=lambda p: p.stem)
def test_there_and_back_is_the_same_tab(path: Path, tmp_path: Path) -> None:
    tune = tune_of(path)
    score = parsed(path)
    score.write("rollstave", tmp_path / "again.txt")
    assert (tmp_path / "again.txt").read_bytes() == rollstave.write(tune, "text")[0]


def test_chords_repeats_endings_and_links_are_music21s_own_objects() -> None:
    text = """Title: Two Endings
Tuning: gDGBD
Key: G
Time: 4/4

                  1.             2.
     G              D              G
D|:--0---2h3-----|--0---3p2-----:|--0-----------|
B|:--0-----------|--------------:|--0-----------|
G|:--------------|--------------:|--------------|
D|:--------------|--------------:|--------------|
g|:--------------|--------------:|--------------|
"""
    score = converter.parse(text, format="rollstave")
    part = score.parts[0]
    assert [c.figure for c in part[harmony.ChordSymbol]] == ["G", "D", "G"]
    assert [b.number for b in part[spanner.RepeatBracket]] == ["1", "2"]
    assert {r.direction for r in part[bar.Repeat]} == {"start", "end"}
    (hammer,) = part[articulations.HammerOn]
    assert [n.pitch.nameWithOctave for n in hammer.getSpannedElements()] == ["E4", "F4"]
    assert len(part[articulations.PullOff]) == 1
    # Measure, first ending, measure, second ending.
    assert [m.number for m in part.expandRepeats().getElementsByClass(stream.Measure)] == [
        1,
        2,
        1,
        3,
    ]


def test_the_analyses_of_music21_run() -> None:
    score = converter.parse(
        str(SAMPLES / "lantern-stairs.txt"), forceSource=True, storePickle=False
    )
    assert score.analyze("key").tonic.name == "C"  # the heading of the tab says C
    assert len(score.chordify()[chord.Chord]) > 50
    assert score.parts[0].getInstrument().stringPitches[0].nameWithOctave == "G4"


def test_a_score_of_music21_becomes_playable_tab(tmp_path: Path) -> None:
    """A melody of music21's corpus, without strings or frets: the same pitches come back."""
    tune = corpus.parse("essenFolksong/erk5").scores[0].parts[0]
    tune = tune.transpose("P1")
    heard = [p.midi for n in tune.flatten().notes for p in n.pitches]
    tune.write("rollstave", tmp_path / "melody.txt")
    again = converter.parse(str(tmp_path / "melody.txt"), forceSource=True, storePickle=False)
    assert [
        p.midi for n in again.flatten().getElementsByClass(note.Note) for p in n.pitches
    ] == heard


def test_what_is_no_tab_is_said_with_its_place(tmp_path: Path) -> None:
    bad = tmp_path / "bad.txt"
    bad.write_text("Title: Wrong\n\n" + "\n".join(f"{n}|-99---0--|" for n in "DBGDg"))
    with pytest.raises(converter.ConverterFileException, match=r"bad\.txt:3:4: error: fret 99"):
        converter.parse(str(bad), forceSource=True, storePickle=False)


def test_several_tunes_are_an_opus_and_a_number_takes_one() -> None:
    row = "\n".join(f"{n}|-0---2---0---2---|" for n in "DBGDg")
    text = f"Title: First Gull\n\n{row}\n\n\nTitle: Second Gull\n\n{row}\n"
    text = text.replace("g|-0---2---0---2---|", "g|-----------------|")
    opus = converter.parse(text, format="rollstave")
    assert [s.metadata.title for s in opus.scores] == ["First Gull", "Second Gull"]
    assert converter.parse(text, format="rollstave", number=2).metadata.title == "Second Gull"


def test_music21s_own_text_output_is_what_it_was(tmp_path: Path) -> None:
    melody = converter.parse("tinyNotation: 4/4 c4 d e f")
    melody.write("txt", tmp_path / "with.txt")
    rollstave_music21.unregister()
    melody.write("txt", tmp_path / "without.txt")
    assert (tmp_path / "with.txt").read_text() == (tmp_path / "without.txt").read_text()


def test_frets_that_no_longer_sound_the_pitches_are_found_anew() -> None:
    """A tune moved up by more than a capo goes: its old frets would be wrong, and are not kept."""
    path = str(SAMPLES / "ferry-landing.txt")
    score = converter.parse(path, forceSource=True, storePickle=False).transpose("M6")
    wanted = [p.midi for n in score.flatten().notes for p in n.pitches if _sounding(n)]
    text, remarks = rollstave_music21.to_tab(score)
    assert any("found anew" in remark for remark in remarks)
    (tune,) = rollstave.read(text)
    setup = tune.score.setup
    notes = [n for m in tune.score.measures for e in m.events for n in e.notes]
    assert sorted(setup.midi(n.string, n.fret or 0) for n in notes) == sorted(wanted)


def _sounding(one: note.NotRest) -> bool:
    return not isinstance(one, harmony.ChordSymbol)


def test_the_sample_runs(tmp_path: Path) -> None:
    """A mandolin tune of music21's becomes a banjo tab: the same pitches, an octave lower."""
    done = subprocess.run(
        [sys.executable, str(SAMPLES / "plugins" / "mandolin_to_banjo.py"), str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "16 measures with repeats" in done.stdout

    def midi(path: Path) -> list[int]:
        (tune,) = rollstave.read(path)
        return sorted(n.pitch.midi for m in tune.score.measures for e in m.events for n in e.notes)

    banjo = midi(tmp_path / "harbour-lights-banjo.txt")
    assert banjo == [n - 12 for n in midi(SAMPLES / "plugins" / "harbour-lights.txt")]


def test_grace_notes_are_music21s_own_and_come_back(tmp_path: Path) -> None:
    rows = [
        "D|-----0---------------------|",
        "B|---------0-----{3}p{1}h3---|",
        "G|-{2}h3---------------------|",
        "D|---------------------------|",
        "g|---------------------------|",
        "   1   &   2           &",
    ]
    tab = "\n".join(["Title: Reed Pier", "Tuning: gDGBD", "Time: 2/4", "", *rows, ""])
    path = tmp_path / "reed-pier.txt"
    path.write_text(tab)
    (tune,) = rollstave.read(path)
    wanted = _graces(tune)
    assert sum(map(len, wanted)) == 3
    score = converter.parse(path)
    small = [n for n in score.recurse().notes if n.duration.isGrace]
    assert [n.pitch.midi for n in small] == [57, 62, 60]  # A3, D4 and C4, by arithmetic
    again = tmp_path / "again.txt"
    score.write("rollstave", again)
    (back,) = rollstave.read(again)
    assert _graces(back) == wanted


@pytest.mark.parametrize(
    ("marks", "order"),
    [
        ({2: repeat.DaCapo}, [1, 2, 1, 2]),
        ({1: repeat.Fine, 2: repeat.DaCapoAlFine}, [1, 2, 1]),
    ],
)
@pytest.mark.parametrize("words", ["", "once more, with feeling"])
def test_a_jump_is_what_it_is_in_music21_whatever_its_words(
    marks: dict[int, type[repeat.RepeatExpression]], order: list[int], words: str, tmp_path: Path
) -> None:
    part = stream.Part()
    for number, name in ((1, "D4"), (2, "G4")):
        measure = stream.Measure(number=number)
        measure.append(note.Note(name, quarterLength=4))
        if number in marks:
            mark = marks[number]()
            if words:
                mark.setText(words)
            measure.append(mark)
        part.append(measure)
    path = tmp_path / "jumps.txt"
    with pytest.warns(UserWarning, match="no string and fret"):
        stream.Score([part]).write("rollstave", path)
    (tune,) = rollstave.read(path)
    heard = play_order(tune.score.measures)
    assert [tune.score.measures[index].number for index in heard] == order


def _graces(tune: rollstave.Tune) -> list[list[tuple[int, int, rollstave.Link | None]]]:
    events = (e for m in tune.score.measures for e in m.events)
    return [[(n.string, n.fret, n.leads) for group in e.grace for n in group] for e in events]


@pytest.mark.parametrize(("row", "typed"), EXAMPLES, ids=named)
def test_every_technique_comes_back(row: rollstave.Technique, typed: str) -> None:
    (tune,) = rollstave.read(typed_in_a_tab(row, typed))
    text, said = rollstave_music21.to_tab(rollstave_music21.to_score(tune.score))
    (back,) = rollstave.read(text)
    assert not any(word in remark for remark in said for word in ("left out", "lost"))
    if row.held:  # one long note
        struck = [sum(len(e.notes) for e in t.score.measures[0].events) for t in (tune, back)]
        assert struck[1] == struck[0] - 1
    else:
        assert has(back.score, row)
        assert essence(back.score)[2:] == essence(tune.score)[2:]


def placed(tune: rollstave.Tune) -> set[tuple[object, ...]]:
    return {
        (m.index, e.onset, n.string, n.fret)
        for m in tune.score.measures
        for e in m.events
        for n in e.notes
    }


@pytest.mark.parametrize("path", TUNES, ids=lambda p: p.stem)
def test_tuning_capo_and_instrument_come_through_music21s_own_file(
    path: Path, tmp_path: Path
) -> None:
    """music21 10 writes no tuning; a field of the file has it, and rollstave reads that too."""
    (tune,) = rollstave.read(path)
    score = converter.parse(str(path), forceSource=True, storePickle=False)
    file = tmp_path / "through.musicxml"
    score.write("musicxml", str(file))
    through = converter.parse(str(file), forceSource=True, storePickle=False)
    text, _ = rollstave_music21.to_tab(through)
    for (again,) in (rollstave.read(text), rollstave.read(file)):
        assert again.score.setup.instrument == tune.score.setup.instrument
        assert again.score.setup.tuning.pitches == tune.score.setup.tuning.pitches
        assert again.score.setup.capo == tune.score.setup.capo


@pytest.mark.parametrize(("steps", "capo"), [(2, 2), (-3, 0)])
def test_transposed_all_notes_stay_where_the_hand_has_them(steps: int, capo: int) -> None:
    (path,) = (path for path in TUNES if path.stem == "ferry-landing")
    (tune,) = rollstave.read(path)
    score = converter.parse(str(path), forceSource=True, storePickle=False).transpose(steps)
    text, remarks = rollstave_music21.to_tab(score)
    (again,) = rollstave.read(text)
    assert placed(again) == placed(tune)
    assert again.score.setup.capo == capo
    sounding = [s.score.measures[1].events[0].notes[0].pitch.midi for s in (tune, again)]
    assert sounding[1] - sounding[0] == steps
    assert remarks[0].startswith(f"all notes are {abs(steps)} semitones")
