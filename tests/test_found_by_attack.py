"""What the standing attack found (tests/benchmarks/attack.py), each kind in its smallest form."""

from __future__ import annotations

import io
from fractions import Fraction
from pathlib import Path

import mido
import pytest
from click.testing import CliRunner
from lxml import etree
from msgspec.structs import replace

import rollstave
from rollstave.cli.main import main
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.instruments.tunings import named_form, parse_tuning
from rollstave.notating.values import written
from rollstave.pitch import Pitch
from rollstave.rhythm.meter import Meter
from rollstave.score.records import Score
from rollstave.writing.text.counting import value_sign
from rollstave.writing.text.document import remark

HEAD = (
    '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Banjo</part-name>'
    '</score-part></part-list><part id="P1"><measure number="1"><attributes><divisions>{}'
    "</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
)
END = "</measure></part></score-partwise>"


def note(duration: int, more: str = "", notations: str = "", fret: int = 0, front: str = "") -> str:
    """A note on string 3 of the banjo, which is tuned to G3."""
    step, octave = {0: ("G", 3), 2: ("A", 3), 4: ("B", 3), 5: ("C", 4)}[fret]
    technical = f"<technical><string>3</string><fret>{fret}</fret>{notations}</technical>"
    return (
        f"<note>{front}<pitch><step>{step}</step><octave>{octave}</octave></pitch>"
        f"{f'<duration>{duration}</duration>' if duration else ''}{more}"
        f"<notations>{technical}</notations></note>"
    )


def score(divisions: int, *notes: str) -> rollstave.Tune:
    text = HEAD.format(divisions) + "".join(notes) + END
    (tune,) = rollstave.read(text)
    return tune


def typed_again(tune: rollstave.Tune | Score) -> Score:
    (again,) = rollstave.read(rollstave.write(tune, "text")[0])
    return again.score


def frets(tune: Score) -> list[tuple[float, int | None]]:
    return [(float(e.onset), n.fret) for m in tune.measures for e in m.events for n in e.notes]


def rows(cells: str, head: str = "") -> str:
    """A tab of which row 3 has these cells."""
    empty = "-" * len(cells)
    lines = [f"{label}|{cells if at == 2 else empty}|" for at, label in enumerate("DBGDg")]
    return "\n".join(["Title: Tide", "Time: 4/4", head, "", *lines]) + "\n"


# Tunings -----------------------------------------------------------------------------------------


def test_a_tuning_with_other_octaves_is_typed_with_them() -> None:
    """Octaves as in scientific pitch notation: middle C is C4."""
    pitches = tuple(Pitch.parse(name) for name in ("D4", "B3", "G3", "C2", "G4"))
    form = named_form(pitches, FIVE_STRING_BANJO)
    assert form == "g4C2G3B3D4"
    read = parse_tuning(form, FIVE_STRING_BANJO)
    assert read is not None
    assert read.pitches == pitches


@pytest.mark.parametrize("typed", ["g4D3G3B3D4", "g4 D3 G3 B3 D4", "g4-D3-G3-B3-D4", "gDGBD"])
def test_a_known_tuning_with_its_octaves_is_that_tuning(typed: str) -> None:
    assert parse_tuning(typed, FIVE_STRING_BANJO) is FIVE_STRING_BANJO.default


# Tempo, bends, dead notes of MusicXML ------------------------------------------------------------


@pytest.mark.parametrize("number", ["0", "1", "100000"])
def test_a_tempo_that_nobody_plays_is_named_and_left_out(number: str) -> None:
    mark = (
        "<direction><direction-type><metronome><beat-unit>quarter</beat-unit>"
        f"<per-minute>{number}</per-minute></metronome></direction-type></direction>"
    )
    tune = score(1, mark, *[note(1)] * 4)
    assert tune.score.tempo is None
    assert "tempo" in {p.code for p in tune.problems}
    rollstave.write(tune, "midi")


@pytest.mark.parametrize(("alter", "bend"), [("0", None), ("-2", None), ("0.5", 1), ("2", 2)])
def test_a_bend_is_by_a_semitone_or_more(alter: str, bend: int | None) -> None:
    bent = note(4, notations=f"<bend><bend-alter>{alter}</bend-alter></bend>", fret=2)
    tune = score(1, bent)
    assert [n.bend for e in tune.score.measures[0].events for n in e.notes] == [bend]
    assert frets(typed_again(tune)) == [(0, 2)]


def test_a_dead_note_has_no_fret() -> None:
    tune = score(1, note(4, "<notehead>x</notehead>", fret=5))
    assert frets(tune.score) == frets(typed_again(tune)) == [(0, None)]


def test_a_legend_may_say_that_a_star_is_a_muted_note() -> None:
    (tune,) = rollstave.read(rows("-7*--0---0---0---", "* = muted"))
    (first, *_) = [n for e in tune.score.measures[0].events for n in e.notes]
    assert (first.fret, first.muted, first.harmonic) == (7, True, False)
    again = typed_again(tune)
    assert frets(again) == frets(tune.score)
    assert [n.muted for e in again.measures[0].events for n in e.notes] == [True] + [False] * 3


LEGENDS = (
    rows("-7*--0---0---0---", "* = muted") + "\n" + rows("-5*--0---0---0---"),
    rows("-5*--0---0---0---") + "\n" + rows("-0---0---0---0---", "* = muted"),
    rows("-5*--0---0---0---").replace("Title: Tide", "Title: * = muted"),
    rows("-5*--0---0---0---")
    + "\nPart 2: * = muted\n"
    + rows("-7*--0---0---0---").split("\n\n")[1],
)


@pytest.mark.parametrize("text", LEGENDS, ids=("before", "after", "title", "part"))
def test_a_tune_keeps_what_only_a_legend_elsewhere_says(text: str) -> None:
    """A legend holds for the file; it may stand in another tune, or in no line of words."""
    tunes = rollstave.read(text)
    assert any(n.muted for t in tunes for m in t.score.measures for e in m.events for n in e.notes)
    for tune in tunes:
        (other,) = rollstave.read(rollstave.write(tune, "musicxml")[0])
        assert frets(typed_again(tune)) == frets(other.score) == frets(tune.score)
        assert None not in [fret for _, fret in frets(tune.score)]


def test_a_tune_takes_no_legend_that_it_does_not_need() -> None:
    """Common signs say a slide, and an x a note that has no fret."""
    last = rows("-x---0^2-0---0---")
    tunes = rollstave.read(rows("-7*--0^2-0---0---", "* = muted, ^ = slide") + "\n" + last)
    assert [tune.score.notes for tune in tunes] == [("* = muted, ^ = slide",), ()]


def test_a_file_with_a_legend_for_two_tunes_is_tidied(tmp_path: Path) -> None:
    file = tmp_path / "tide.txt"
    file.write_text(LEGENDS[0].replace("Title: Tide", "Title: Gate", 1), "utf-8")
    before = [frets(tune.score) for tune in rollstave.read(file.read_bytes())]
    assert CliRunner().invoke(main, ["tidy", str(file)]).exit_code == 0
    assert [frets(tune.score) for tune in rollstave.read(file.read_bytes())] == before


def test_two_grace_notes_at_once_on_one_string_are_one() -> None:
    small = note(0, front="<grace/>", fret=2)
    other = note(0, front="<grace/><chord/>", fret=4)
    tune = score(1, small, other, note(4, fret=5))
    ((group,),) = [e.grace for e in tune.score.measures[0].events]
    assert [n.fret for n in group] == [2]
    assert "grace" in {p.code for p in tune.problems}
    etree.fromstring(rollstave.write(tune, "mei")[0])  # no two elements have one id


def test_a_measure_numbered_nought_is_a_pickup_only_where_a_strain_opens() -> None:
    last = f'</measure><measure number="0">{note(1)}{note(1)}'
    tune = score(1, *[note(1)] * 4, last)
    assert [m.number for m in tune.score.measures] == [1, 2]


# Times -------------------------------------------------------------------------------------------


def test_times_that_text_cannot_hold_are_named_and_moved_to_the_nearest() -> None:
    tune = score(480, note(483), note(478, fret=2), note(479), note(480, fret=2))
    assert "fine-times" in {p.code for p in tune.problems}
    typed = rollstave.write(tune, "text")[0].decode()
    assert max(map(len, typed.splitlines())) < 60
    assert frets(typed_again(tune)) == [(0, 0), (1, 2), (2, 0), (3, 2)]


def test_a_chord_whose_first_note_has_no_length_ends_in_its_measure() -> None:
    chord = note(1, front="<chord/>", fret=2)
    tune = score(
        1,
        *[note(1)] * 3,
        note(0).replace("<notations>", "<duration>0</duration><notations>"),
        chord,
    )
    assert frets(tune.score)[-1] == (3, 2)
    assert all(e.duration > 0 for m in tune.score.measures for e in m.events)


def test_times_that_text_holds_are_not_named() -> None:
    tune = score(12, note(4), note(4, fret=2), note(4), note(36, fret=2))
    assert "fine-times" not in {p.code for p in tune.problems}
    assert frets(typed_again(tune)) == frets(tune.score)


@pytest.mark.parametrize("ticks", range(2, 100))
def test_every_time_but_the_shortest_has_a_sign(ticks: int) -> None:
    """Parts of a sign are added by what their letters mean: w h q e s t, dots, 3 for a triplet."""
    sign = value_sign(Fraction(ticks, 24))
    assert sign is not None
    letters = {"w": 96, "h": 48, "q": 24, "e": 12, "s": 6, "t": 3}
    ends = {"": Fraction(1), ".": Fraction(3, 2), "..": Fraction(7, 4), "3": Fraction(2, 3)}
    assert sum(letters[part[0]] * ends[part[1:]] for part in sign.split("+")) == ticks


def test_no_part_of_a_written_note_has_no_length() -> None:
    """Triplets that overlap: onsets in 24ths of a quarter note."""
    onsets = [0, 48, 72, 76, 81, 86, 91]
    times = tuple(
        (Fraction(a, 24), Fraction(b - a, 24), False)
        for a, b in zip(onsets, [*onsets[1:], 96], strict=True)
    )
    parts = written(times, Meter(4, 4), Fraction(0))
    assert all(part.duration > 0 for part in parts)
    assert sum(part.duration for part in parts) == 4


# MIDI --------------------------------------------------------------------------------------------


def test_a_held_note_is_not_struck_again() -> None:
    (tune,) = rollstave.read(rows("-5---=5--0---0---"))
    file = mido.MidiFile(file=io.BytesIO(rollstave.write(tune, "midi")[0]))
    sounding = [(m.note, m.velocity > 0) for m in file.tracks[0] if m.type.startswith("note_")]
    assert [pitch for pitch, on in sounding if on and pitch == 60] == [60]  # C4, fret 5


# Words that are typed back -----------------------------------------------------------------------


def test_words_about_a_capo_are_not_read_as_one_where_there_is_none() -> None:
    """They stood at the end, where they are said of no tune."""
    text = rows("-0---0---0---0---")
    (tune,) = rollstave.read(text)
    words = "then put the capo at the second fret"
    again = typed_again(replace(tune.score, notes=(words,)))
    assert again.setup.capo == 0


def test_words_that_look_like_rows_of_another_way_of_typing_stay_words() -> None:
    (tune,) = rollstave.read(rows("-0---0---0---0---"))
    words = tuple(f"{name}!===2======0===!" for name in "DBGDg")
    again = typed_again(replace(tune.score, notes=words))
    assert frets(again) == frets(tune.score)


def test_a_long_measure_that_begins_with_a_rest_comes_back() -> None:
    """Its letters are more than the meter has by just the rest."""
    rest = "<note><rest/><duration>2</duration></note>"
    counted = note(1) * 4 + '</measure><measure number="2">'
    tune = score(1, counted, rest, note(1), note(1, fret=2), note(2))
    assert tune.score.measures[1].length == 6
    assert frets(typed_again(tune)) == frets(tune.score)


def test_three_equal_notes_in_a_long_measure_are_no_triplet() -> None:
    """A typist may leave out the 3 of a triplet; what we type must not look like that."""
    six = [note(1, fret=fret) for fret in (0, 2, 4, 0, 2, 4)]
    tune = score(1, *six)
    assert tune.score.measures[0].length == 6
    assert frets(typed_again(tune)) == frets(tune.score)


def test_a_raised_short_string_that_makes_another_known_tuning_stays_raised() -> None:
    """f#DF#AD with the fifth string raised to A has the strings of aDF#AD, but other frets: the
    capo is at fret 8, so that fret 10 is two semitones above it."""
    text = rows("-0---0---0---0---", "Tuning: f#DF#AD\nFifth string: raised to A")
    (tune,) = rollstave.read(text.replace("g|-----", "g|-10--"))
    (again,) = rollstave.read(rollstave.write(tune, "musicxml")[0])
    assert again.score.setup == tune.score.setup
    assert again.score.setup.short_raise == 3
    pitches = [n.pitch.midi for e in again.score.measures[0].events for n in e.notes]
    assert pitches == [n.pitch.midi for e in tune.score.measures[0].events for n in e.notes]


def test_a_time_that_is_part_of_the_title_is_not_the_tunes() -> None:
    (tune,) = rollstave.read(rows("-0---0---0---0---"))
    again = typed_again(replace(tune.score, title="Ferryman, Wait    6/8, Em"))
    assert again.meter == Meter(4, 4)
    assert frets(again) == frets(tune.score)


@pytest.mark.parametrize("string", ["0", "6", "99"])
def test_a_dead_note_on_no_string_is_put_on_one(string: str) -> None:
    dead = note(4, "<notehead>x</notehead>").replace(
        "<string>3</string>", f"<string>{string}</string>"
    )
    tune = score(1, dead)
    (one,) = tune.score.measures[0].events[0].notes
    assert (one.string, one.fret, one.pitch.midi) == (3, None, 55)
    assert any(f"no string {string}" in p.message for p in tune.problems)
    (again,) = rollstave.read(rollstave.write(tune, "musicxml")[0])
    assert frets(again.score) == frets(tune.score)


@pytest.mark.parametrize(("fret", "sounds"), [(5, 55 + 24), (4, 55 + 28)])
def test_a_harmonic_has_the_pitch_that_sounds_at_its_place(fret: int, sounds: int) -> None:
    """The fourth and the fifth partial, two octaves and two octaves and a third above the open
    string (physics of a string, from memory), however the file writes the pitch."""
    tune = score(1, note(4, notations="<harmonic><natural/></harmonic>", fret=fret))
    for one in (tune.score, typed_again(tune)):
        (struck,) = one.measures[0].events[0].notes
        assert (struck.harmonic, struck.fret, struck.pitch.midi) == (True, fret, sounds)


def test_a_harmonic_without_a_place_whose_pitch_is_none_is_a_plain_note() -> None:
    bare = (
        "<note><pitch><step>F</step><alter>1</alter><octave>4</octave></pitch><duration>4</duration>"
        "<notations><technical><harmonic><natural/></harmonic></technical></notations></note>"
    )
    tune = score(1, bare)
    (struck,) = tune.score.measures[0].events[0].notes
    assert (struck.harmonic, struck.pitch.midi) == (False, 66)
    assert any("harmonics" in p.message for p in tune.problems)


def test_a_tuning_that_the_notes_tell_is_typed_with_its_octaves() -> None:
    """No tuning in the file, but string and fret of every note: strings an octave too low."""
    tune = score(1, *[note(1).replace("<octave>3<", "<octave>2<")] * 4)
    assert frets(typed_again(tune)) == frets(tune.score)
    pitches = [n.pitch for m in tune.score.measures for e in m.events for n in e.notes]
    again = [n.pitch for m in typed_again(tune).measures for e in m.events for n in e.notes]
    assert again == pitches


@pytest.mark.parametrize("fill", ["_", "=", "."])
def test_words_that_look_like_rows_of_another_fill_are_typed_as_a_remark(fill: str) -> None:
    """Rows that are no system are kept as words; typed again they are words still."""
    row = f"4 {fill * 5}2{fill * 3}  {fill * 8}"
    (tune,) = rollstave.read(rows("-0---2---0---2---"))
    words = replace(tune.score, notes=(row,) * 4)
    again = typed_again(words)
    assert again.notes == words.notes
    assert frets(again) == frets(tune.score)


def test_a_lone_letter_under_letters_of_durations_is_sung() -> None:
    """A line under a system tells how long all notes last; another of one letter does not."""
    text = "Title: Tar\nTime: 4/4\n\n" + "\n".join(
        ("D|-0---2---0---2---|", *(f"{s}|{'-' * 17}|" for s in "BGDg"))
    )
    (tune,) = rollstave.read(f"{text}\n   q   q   q   q\n           s\n")
    events = tune.score.measures[0].events
    assert [(e.onset, e.lyric) for e in events] == [(0, None), (1, None), (2, "s"), (3, None)]


@pytest.mark.parametrize("name", ["Cbdim7", "Fbdim7", "Gbdim7"])
def test_a_chord_of_triple_flats_spells_nothing(name: str) -> None:
    """The seventh of a diminished chord is a step lower by a flat: of F flat a triple one."""
    text = (
        "Title: Tar\nTime: 4/4\nKey: G\n\n"
        + f"  {name}\n"
        + "\n".join(("D|-0---1---2---3---|", *(f"{s}|{'-' * 17}|" for s in "BGDg")))
    )
    (tune,) = rollstave.read(text)
    assert [e.notes[0].pitch.midi for e in tune.score.measures[0].events] == [62, 63, 64, 65]


def test_labels_of_a_declared_tuning_of_three_strings_tell_which_way_up() -> None:
    """The words of a head stay in clean text; its own labels count for more than they do."""
    rows = "D|-2---0---|\nA|---------|\nE|-----0---|\n"
    head = "Title: Tar\nInstrument: mountain dulcimer\nTuning: EAD\nTime: 2/4\n\n"
    text = f"{head}low E is the TOP line\n\n{rows}"
    (tune,) = rollstave.read(text)
    assert [n.string for e in tune.score.measures[0].events for n in e.notes] == [1, 1, 3]


def test_words_that_would_raise_the_short_string_say_that_they_are_a_remark() -> None:
    """Clean text has all words in the head; under a further title such a piece raised nothing."""
    assert remark("spiked at 7") == "Remark: spiked at 7"
    assert remark("spiked by the frost at noon") == "spiked by the frost at noon"
