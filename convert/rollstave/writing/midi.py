"""MIDI from the score: repeats played out, the instrument's program, the tempo."""

from __future__ import annotations

import io
from fractions import Fraction
from operator import itemgetter
from typing import Any

from rollstave.deciding.playback import grace_time, play_order
from rollstave.score.records import Score
from rollstave.vocabulary.signs import HELD

TICKS_PER_QUARTER = 480
_SLOWEST = 0xFFFFFF  # microseconds of a quarter note, in three bytes
_PICKED, _SLURRED, _GHOST = 88, 70, 48


def write_midi(score: Score) -> bytes:
    """The score as a standard MIDI file of one track."""
    import mido

    track = mido.MidiTrack()
    track.append(mido.MetaMessage("track_name", name=_latin(score.title), time=0))
    first, later = _signatures(score)
    for kind, said in first:
        track.append(mido.MetaMessage(kind, **said, time=0))
    program = score.setup.instrument.program - 1
    track.append(mido.Message("program_change", program=program, time=0))
    timed: list[tuple[int, int, Any]] = [
        (tick, order, mido.Message(kind, note=pitch, velocity=velocity))
        for tick, order, kind, pitch, velocity in sorted(_messages(score))
    ]
    timed += [(tick, 0, mido.MetaMessage(kind, **said)) for tick, kind, said in later]
    now = 0
    for tick, _, message in sorted(timed, key=itemgetter(0, 1)) if later else timed:
        message.time, now = tick - now, tick
        track.append(message)
    track.append(mido.MetaMessage("end_of_track", time=0))
    file = mido.MidiFile(type=0, ticks_per_beat=TICKS_PER_QUARTER)
    file.tracks.append(track)
    buffer = io.BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


_Said = dict[str, Any]
# What a key signature is called, from seven flats to seven sharps.
_MAJOR = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")


def _signatures(score: Score) -> tuple[list[tuple[str, _Said]], list[tuple[int, str, _Said]]]:
    """Tempo and time signature as meta messages, and the key's where it changes: those that the
    file begins with, and those that come later, as they are played, each with its tick."""
    meters, tempos, keys = score.meters, score.sounding_tempos, score.keys
    several = any(key != score.key for key in keys)
    first: list[tuple[str, _Said]] = []
    later: list[tuple[int, str, _Said]] = []
    now: dict[str, _Said] = {}
    start = Fraction(0)
    for index in play_order(score.measures):
        held: dict[str, _Said] = {
            "set_tempo": {"tempo": min(_SLOWEST, round(60_000_000 / tempos[index]))},
            "time_signature": {
                "numerator": meters[index].count,
                "denominator": meters[index].unit,
            },
        }
        if several:
            held["key_signature"] = {"key": _MAJOR[keys[index].fifths + 7]}
        for kind, said in held.items():
            if not now:
                first = list(held.items())
            elif now[kind] != said:
                later.append((_ticks(start), kind, said))
        now = held
        start += score.measures[index].length
    return first, later


def _messages(score: Score) -> list[tuple[int, int, str, int, int]]:
    """Note messages as (tick, order, kind, pitch, velocity); note-offs come first at a tick."""
    found: list[tuple[int, int, str, int, int]] = []
    start = Fraction(0)
    ends: dict[int, int] = {}  # where in what is found the last note of each string ends
    for index in play_order(score.measures):
        measure = score.measures[index]
        for event in measure.events:
            small, now = grace_time(event), start + event.onset
            led: set[int] = set()
            for group in event.grace:
                on, off = _ticks(now), max(_ticks(now) + 1, _ticks(now + small))
                now += small
                for grace in group:
                    velocity = _SLURRED if grace.string in led else _PICKED
                    led -= {grace.string}
                    led |= {grace.string} if grace.leads else set()
                    found.append((on, 1, "note_on", grace.pitch.midi, velocity))
                    found.append((off, 0, "note_off", grace.pitch.midi, 0))
            on = _ticks(now)
            end = max(on + 1, _ticks(start + event.onset + event.duration))
            for note in event.notes:
                off = end if note.lasts is None else on + max(1, _ticks(note.lasts))
                last = ends.get(note.string)
                if note.link in HELD and last is not None and found[last][3] == note.pitch.midi:
                    found[last] = (off, *found[last][1:])  # it sounds on
                    continue
                slurred = note.link is not None or note.string in led
                velocity = _GHOST if note.ghost else _SLURRED if slurred else _PICKED
                found.append((on, 1, "note_on", note.pitch.midi, velocity))
                ends[note.string] = len(found)
                found.append((off, 0, "note_off", note.pitch.midi, 0))
        start += measure.length
    return found


def _ticks(time: Fraction) -> int:
    return round(time * TICKS_PER_QUARTER)


def _latin(text: str) -> str:
    """Text events of MIDI files are read as Latin-1 (mido's default); the rest becomes ``?``."""
    return text.encode("latin-1", "replace").decode("latin-1")
