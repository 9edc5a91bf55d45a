"""MIDI, read back with mido."""

from __future__ import annotations

import io
from fractions import Fraction

import mido
import pytest
from msgspec.structs import replace

import rollstave
from rollstave.deciding.playback import play_order
from rollstave.grid.typed import Link
from rollstave.score.records import Score
from tests import tunes


def _messages(score: Score) -> tuple[mido.MidiFile, list[tuple[int, mido.Message]]]:
    file = mido.MidiFile(file=io.BytesIO(rollstave.write(score, "midi")[0]))
    (track,) = file.tracks
    now = 0
    found = []
    for message in track:
        now += message.time
        found.append((now, message))
    return file, found


def _notes(score: Score) -> list[tuple[Fraction, Fraction, int]]:
    """Onset and duration in quarter notes and pitch of every note that is played."""
    file, messages = _messages(score)
    open_notes: dict[int, list[int]] = {}
    found = []
    for tick, message in messages:
        if message.type == "note_on" and message.velocity:
            open_notes.setdefault(message.note, []).append(tick)
        elif message.type in ("note_off", "note_on"):
            start = open_notes[message.note].pop(0)
            found.append(
                (
                    Fraction(start, file.ticks_per_beat),
                    Fraction(tick - start, file.ticks_per_beat),
                    message.note,
                )
            )
    assert not any(open_notes.values())
    return sorted(found)


def test_notes_follow_the_play_order(name: str) -> None:
    # mido 1.3 reads the file; 480 ticks a quarter note, so times are right to half a tick.
    score = tunes.case(name)
    expected = []
    start = Fraction(0)
    for index in play_order(score.measures):
        for event in score.measures[index].events:
            for note in event.notes:
                expected.append((start + event.onset, event.duration, note.pitch.midi))
        start += score.measures[index].length
    played = _notes(score)
    assert len(played) == len(expected)
    for found, wanted in zip(played, sorted(expected), strict=True):
        assert found[2] == wanted[2]
        assert abs(found[0] - wanted[0]) <= Fraction(1, 960)
        assert abs(found[1] - wanted[1]) <= Fraction(1, 480)


def test_program_tempo_and_meter(name: str) -> None:
    # General MIDI Level 1 sound set: Banjo is 106 counted from 1, so 105 in the file.
    score = tunes.case(name)
    _, messages = _messages(score)
    kinds = {m.type: m for _, m in messages}
    assert kinds["program_change"].program == 105
    # Standard MIDI file: tempo in microseconds a quarter note, by arithmetic.
    microseconds = 60_000_000 / float(score.sounding_tempo)
    assert kinds["set_tempo"].tempo == pytest.approx(microseconds, abs=1)
    meter = kinds["time_signature"]
    assert (meter.numerator, meter.denominator) == (score.meter.count, score.meter.unit)


def test_a_measure_worked_by_hand() -> None:
    # A roll over strings 3 2 5 1 in open G at 4 quarter notes a measure: G3 B3 G4 D4, which are
    # 55 59 67 62 (General MIDI: middle C is 60).
    score = tunes.score([[(1, [(3, 0)]), (1, [(2, 0)]), (1, [(5, 0)]), (1, [(1, 0)])]])
    one = Fraction(1)
    assert _notes(score) == [
        (Fraction(0), one, 55),
        (Fraction(1), one, 59),
        (Fraction(2), one, 67),
        (Fraction(3), one, 62),
    ]


def test_what_is_struck_beside_a_held_note_sounds() -> None:
    """Common practice: a tied note sounds on, and what is struck at that moment is heard as well,
    whichever of the two is typed first. G3 and D4 are 55 and 62."""
    for struck in ([(3, 0), (1, 0)], [(1, 0), (3, 0)]):
        score = tunes.score([[(2, [(3, 0)]), (2, struck)]])
        (measure,) = score.measures
        first, second = measure.events
        notes = [replace(n, link=Link.TIE) if n.string == 3 else n for n in second.notes]
        events = (first, replace(second, notes=tuple(notes)))
        held = replace(score, measures=(replace(measure, events=events),))
        assert _notes(held) == [
            (Fraction(0), Fraction(4), 55),
            (Fraction(2), Fraction(2), 62),
        ]


def test_repeats_are_played_out() -> None:
    # Common practice: the strain with endings 1, 2 and 3 is played three times, the next twice.
    # Measures 1 2 | 1 2 | 1 3 | 4 5 | 4 5 | 6 | 7, four quarter notes each.
    played = _notes(tunes.case("repeats"))
    assert len(played) == 12 * 4
    assert played[-1][0] == 12 * 4 - 1


def test_a_title_outside_latin_1() -> None:
    score = tunes.case("triplets")
    _, messages = _messages(replace(score, title="Möwe und Anker ⚓"))
    name = next(m.name for _, m in messages if m.type == "track_name")
    assert name == "Möwe und Anker ?"
