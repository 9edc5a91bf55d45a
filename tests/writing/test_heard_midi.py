"""MIDI, read by mido, beside what music21 reads in the MusicXML of the same score.

The two files know nothing of each other: music21 gives onsets, durations and pitches of each
measure, the order in which measures are played is worked out by hand.
"""

from __future__ import annotations

import io
from collections.abc import Mapping
from fractions import Fraction
from functools import cache

import mido
import music21
import pytest

import rollstave
from rollstave.score.records import Score
from tests import tunes
from tests.writing import everything, generated

Sounded = tuple[Fraction, Fraction, int, int]  # onset, duration, pitch, velocity
TICK = Fraction(1, 480)  # of a quarter note


def _played(score: Score) -> list[Sounded]:
    file = mido.MidiFile(file=io.BytesIO(rollstave.write(score, "midi")[0]))
    now = 0
    sounding: dict[int, list[tuple[int, int]]] = {}
    found: list[Sounded] = []
    for message in file.tracks[0]:
        now += message.time
        if message.type == "note_on" and message.velocity:
            sounding.setdefault(message.note, []).append((now, message.velocity))
        elif message.type == "note_off":
            start, velocity = sounding[message.note].pop(0)
            length = Fraction(now - start, file.ticks_per_beat)
            found.append((Fraction(start, file.ticks_per_beat), length, message.note, velocity))
    assert not any(sounding.values())
    return sorted(found)


@cache
def everything_played() -> tuple[Sounded, ...]:
    return tuple(_played(everything.score()))


def _measures(xml: bytes) -> Mapping[int, tuple[Fraction, list[tuple[Fraction, Fraction, int]]]]:
    """The length of each measure of the staff, and what is struck in it, as music21 reads it;
    grace notes and what is only held are left out."""
    part = music21.converter.parseData(xml.decode(), format="musicxml").parts[0].stripTies()
    found = {}
    for measure in part.getElementsByClass("Measure"):
        struck = [
            (Fraction(n.offset), Fraction(n.duration.quarterLength), int(pitch.midi))
            for n in measure.flatten().notes
            if not isinstance(n, music21.harmony.Harmony) and not n.duration.isGrace
            for pitch in n.pitches
        ]
        length = Fraction(measure.barDuration.quarterLength) - Fraction(measure.paddingLeft)
        found[measure.number] = (length, struck)
    return found


def _compared(xml: bytes, order: tuple[int, ...], played: list[Sounded]) -> None:
    measures = _measures(xml)
    start = Fraction(0)
    wanted = []
    for number in order:
        length, struck = measures[number]
        # The end of each note: grace notes before it take their time from its beginning.
        wanted.extend((start + onset + lasts, pitch) for onset, lasts, pitch in struck)
        start += length
    ends = sorted((onset + lasts, pitch) for onset, lasts, pitch, _ in played)
    assert len(ends) == len(wanted)
    for (end, pitch), (wanted_end, wanted_pitch) in zip(ends, sorted(wanted), strict=True):
        assert abs(end - wanted_end) <= TICK
        assert pitch == wanted_pitch


def test_all_that_is_written_sounds() -> None:
    # The grace notes of measure 9 are an eighth of a quarter note long and nothing else is as
    # short; they are looked at below.
    played = [note for note in everything_played() if note[1] > Fraction(1, 8)]
    _compared(everything.written("musicxml"), everything.PLAYED, played)


@pytest.mark.parametrize("seed", [3, 10])
def test_generated_tunes_sound_as_written(seed: int) -> None:
    (tune,) = rollstave.read(generated.tab(seed))
    assert all(m.jump is None and not m.in_ending for m in tune.score.measures)
    xml = rollstave.write(tune, "musicxml")[0]
    order = tuple(m.number for m in tune.score.measures)
    short = sum(len(g) for m in tune.score.measures for e in m.events for g in e.grace)
    played = _played(tune.score)
    graces = sorted(played, key=lambda note: note[1])[:short]
    assert all(lasts <= Fraction(1, 8) for _, lasts, _, _ in graces)
    _compared(xml, order, [note for note in played if note not in graces])


def test_grace_notes_come_on_the_beat_and_their_note_later() -> None:
    # Measure 9 is first played after 48 quarter notes: the pickup has one, twelve measures come
    # before it. An eighth of a quarter note each; three in a row no more than a third of it.
    start = Fraction(1 + 4 * 12)
    nine = [(o - start, d, p) for o, d, p, _ in everything_played() if 0 <= o - start < 4]
    s = Fraction(1, 8)
    t = Fraction(1, 9)
    wanted = [
        *((Fraction(0), s, 57), (s, 1 - s, 59)),
        *((Fraction(1), t, 55), (1 + t, t, 57), (1 + 2 * t, t, 59), (1 + 3 * t, 1 - 3 * t, 60)),
        *((Fraction(2), s, 59), (2 + s, 1 - s, 57)),
        *((Fraction(3), s, 60), (Fraction(3), s, 64), (3 + s, 1 - s, 59), (3 + s, 1 - s, 62)),
    ]
    assert len(nine) == len(wanted)
    for found, expected in zip(nine, wanted, strict=True):
        assert found[2] == expected[2]
        assert abs(found[0] - expected[0]) <= TICK
        assert abs(found[1] - expected[1]) <= TICK


def _loud(measure_start: int, score_notes: int) -> list[int]:
    found = [(o, p, v) for o, _, p, v in everything_played() if measure_start <= o]
    return [v for _, _, v in found[:score_notes]]


def test_what_the_left_hand_makes_is_softer_and_a_ghost_the_softest() -> None:
    # Common practice, no source. The first strain begins after the pickup of one quarter note.
    (picked,) = set(_loud(1, 8))
    three = _loud(1 + 2 * 4, 8)
    (slurred,) = {three[1]}
    # Picked, hammer-on, pull-off, picked, slide, picked, tap, picked.
    assert three == [picked, slurred, slurred, picked, slurred, picked, slurred, picked]
    # The hammer-on over the bar, then three that are picked; in the ending the ghost is second.
    assert _loud(1 + 3 * 4, 4) == [slurred, picked, picked, picked]
    five = _loud(1 + 4 * 4, 6)
    ghost = five[1]
    assert five == [picked, ghost, picked, picked, picked, picked]
    assert ghost < slurred < picked


def test_grace_notes_that_lead_on_are_picked_and_their_notes_slurred() -> None:
    nine = _loud(1 + 4 * 12, 12)
    picked, slurred = nine[0], nine[1]
    assert slurred < picked
    # A hammer-on; picked, picked, slid to, and a note on another string; a pull-off; two and two.
    assert nine == [
        *(picked, slurred),
        *(picked, picked, slurred, picked),
        *(picked, slurred),
        *(picked, picked, picked, picked),
    ]


def test_a_note_that_sounds_again_stops_first() -> None:
    # The same pitch twice in a row: the end of the first comes before the second begins.
    file = mido.MidiFile(
        file=io.BytesIO(rollstave.write(tunes.score([[(1, [(3, 0)])] * 4]), "midi")[0])
    )
    kinds = [m.type for m in file.tracks[0] if m.type.startswith("note")]
    assert kinds == ["note_on", "note_off"] * 4
    assert (file.type, len(file.tracks)) == (0, 1)
    assert all(m.channel == 0 for m in file.tracks[0] if m.type.startswith(("note", "program")))
