"""What must be true of any input, for ``attack.py``: the rules, and what is wrong if one is broken.

Bytes are looked at, not what the writers were told: MIDI is read by mido, XML by lxml.
"""

from __future__ import annotations

import io
import math
from collections import Counter, defaultdict
from collections.abc import Callable
from fractions import Fraction

from lxml import etree

import rollstave
from rollstave.assembly.plugins import KNOWN
from rollstave.deciding.playback import grace_time, play_order
from rollstave.instruments.instrument import Instrument
from rollstave.musicxml_in import read_musicxml
from rollstave.problems import ProblemList
from rollstave.score.records import Measure, Score
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.signs import HELD
from rollstave.writing import FORMATS

# Formats that are slow, or the same as another in a box: for one case in so many, from which on.
SHARES: dict[str, tuple[int, int]] = {
    "mxl": (10, 5),
    "svg": (20, 0),
    "pdf": (50, 10),
    "html": (50, 30),
}

Struck = tuple[int, Fraction, int, int | None, bool, int]


def struck(score: Score) -> list[Struck]:
    """What is struck: measure, time, string, fret or that it has none, if it is muted, pitch."""
    return [
        (measure.index, event.onset, note.string, note.fret, note.muted, note.pitch.midi)
        for measure in score.measures
        for event in measure.events
        for note in sorted(event.notes, key=lambda note: note.string)
        if note.link not in HELD
    ]


def held_notes(score: Score) -> list[Struck]:
    """What is held by a tie, or struck again where the tie is to another note, as
    :func:`struck`."""
    return [
        (measure.index, event.onset, note.string, note.fret, note.muted, note.pitch.midi)
        for measure in score.measures
        for event in measure.events
        for note in event.notes
        if note.link in HELD
    ]


def outside_measures(score: Score) -> str | None:
    """Notes that begin before their measure or after it, and measures of no length."""
    for measure in score.measures:
        if measure.length <= 0:
            return "a measure of no length"
        for event in measure.events:
            if event.onset < 0 or event.onset + event.duration > measure.length:
                return "a note outside its measure"
            if event.duration <= 0:
                return "a note of no length"
    return None


# MIDI --------------------------------------------------------------------------------------------


def _begun(data: bytes) -> tuple[dict[int, Counter[int]], int]:
    """The pitches that begin at each tick of a MIDI file, and ticks of a quarter note."""
    import mido

    file = mido.MidiFile(file=io.BytesIO(data))
    begun: dict[int, Counter[int]] = defaultdict(Counter)
    for track in file.tracks:
        now = 0
        for message in track:
            now += message.time
            if message.type == "note_on" and message.velocity:
                begun[now][message.note] += 1
    return begun, file.ticks_per_beat


def _of_measure(measure: Measure, quarter: int) -> list[tuple[Fraction, int]]:
    """Ticks from a measure's start and pitches of what is struck in it. Grace notes come first."""
    return [
        ((event.onset + grace_time(event) * len(event.grace)) * quarter, note.pitch.midi)
        for event in measure.events
        for note in event.notes
        if note.link not in HELD
    ]


def _sounds(begun: dict[int, Counter[int]], notes: list[tuple[Fraction, int]]) -> bool:
    """True if what a measure has is heard somewhere; ticks may be rounded."""
    first, pitch = notes[0]
    for tick in [tick for tick, pitches in begun.items() if pitch in pitches]:
        times = ((math.floor(tick + t - first), p) for t, p in notes)
        if all(any(p in begun.get(t + off, ()) for off in (0, 1, -1, 2)) for t, p in times):
            return True
    return False


def midi_wrong(tune: rollstave.Tune, data: bytes) -> str | None:
    """A MIDI file plays every measure, unless a problem names it; and nothing twice or not."""
    measures = tune.score.measures
    begun, quarter = _begun(data)
    named = [p.message for p in tune.problems if p.code == kinds.NEVER_PLAYED.code]
    for measure in measures:
        notes = _of_measure(measure, quarter)
        if not notes or _sounds(begun, notes):
            continue
        if not any(f"measure {measure.number} " in message for message in named):
            return f"the midi does not play {measure.called}, and nothing says so"
    events = [event for index in play_order(measures) for event in measures[index].events]
    played = Counter(n.pitch.midi for e in events for n in e.notes if n.link not in HELD)
    played += Counter(n.pitch.midi for e in events for group in e.grace for n in group)
    held = Counter(n.pitch.midi for e in events for n in e.notes if n.link in HELD)
    heard = sum(begun.values(), Counter[int]())
    # What is held is not struck, but where nothing was struck before it.
    fits = played <= heard <= played + held
    return None if fits else "the midi plays other notes than the tune has"


# XML ---------------------------------------------------------------------------------------------


def musicxml_wrong(tune: rollstave.Tune, data: bytes) -> str | None:
    """No step back in our own MusicXML leads to before its measure, and no note has no length."""
    for measure in etree.fromstring(data).iter("measure"):
        now = 0
        for element in measure:
            duration = int(element.findtext("duration") or 0)
            if element.tag == "backup":
                now -= duration
            elif element.tag == "forward":
                now += duration
            elif element.tag == "note" and element.find("chord") is None:
                if duration <= 0 and element.find("grace") is None:
                    return "a note of the musicxml has no duration"
                now += duration
            if now < 0:
                return "the musicxml steps back to before a measure"
    return None


def _well_formed(tune: rollstave.Tune, data: bytes) -> str | None:
    try:
        etree.fromstring(data, etree.XMLParser(huge_tree=True))
    except etree.XMLSyntaxError as error:
        return f"is no XML: {error}"
    return None


def _begins(with_: bytes) -> Callable[[rollstave.Tune, bytes], str | None]:
    def look(tune: rollstave.Tune, data: bytes) -> str | None:
        return None if data.lstrip()[: len(with_)].lower() == with_ else f"begins {data[:20]!r}"

    return look


def _nothing(tune: rollstave.Tune, data: bytes) -> str | None:
    return None


LOOKS: dict[str, Callable[[rollstave.Tune, bytes], str | None]] = {
    "musicxml": musicxml_wrong,
    "text": _nothing,
    "midi": midi_wrong,
    "mei": _well_formed,
    "mxl": _begins(b"pk"),
    "svg": _well_formed,
    "pdf": _begins(b"%pdf"),
    "html": _begins(b"<!doctype html"),
}


# Written and read again --------------------------------------------------------------------------


def _read_again(name: str, data: bytes, instrument: Instrument) -> list[Score]:
    """What is read again. Of MusicXML only the score: reading it whole types it as text, too."""
    if name == "text":
        return [tune.score for tune in rollstave.read(data, instrument=instrument)]
    score, _ = read_musicxml(data, ProblemList(), known=KNOWN)
    return [score]


def again_wrong(tune: rollstave.Tune, name: str, data: bytes) -> str | None:
    """What is written is read again with the same notes, unless a problem said that it cannot."""
    score = tune.score
    try:
        again = _read_again(name, data, score.setup.instrument)
    except rollstave.TabError as error:
        return f"the {name} is refused: {error}"
    if len(again) != 1:
        return f"the {name} has {len(again)} tunes"
    untimed = name == "text" and any(p.code in _SAID for p in tune.problems)
    own, other, held = struck(score), struck(again[0]), held_notes(score)
    if untimed:
        own, other, held = (list(map(_untimed, notes)) for notes in (own, other, held))
    missing, added = Counter(own) - Counter(other), Counter(other) - Counter(own) - Counter(held)
    if (missing or added) and not (name == "text" and _told_otherwise(tune)):
        return f"the {name} has not {_first(missing)} but {_first(added)}"
    return None


def _told_otherwise(tune: rollstave.Tune) -> bool:
    """True if a problem says that measures, typed as text, are read otherwise."""
    return any(p.code == kinds.TYPED_OTHERWISE.code for p in tune.problems)


def _first(notes: Counter[Struck]) -> Struck | None:
    return min(notes, default=None, key=lambda note: note[:3])


_READ_AGAIN = ("text", "musicxml", "mxl")
# Problems that say that columns cannot hold the times of a score.
_SAID: frozenset[str] = frozenset({kinds.FINE_TIMES.code})


def _untimed(note: Struck) -> Struck:
    measure, _, string, fret, muted, pitch = note
    return measure, Fraction(0), string, -1 if fret is None else fret, muted, pitch


# All of it ---------------------------------------------------------------------------------------


def formats_of(seed: int) -> tuple[str, ...]:
    """The formats that a case is written in: every one, but some only for a share of the cases."""
    found = []
    for name in FORMATS:
        every, first = SHARES.get(name, (1, 0))
        if name in LOOKS and seed % every == first % every:
            found.append(name)
    return tuple(found)


def tune_wrong(tune: rollstave.Tune, formats: tuple[str, ...]) -> str | None:
    """What is wrong with a tune and what is written of it, or None."""
    if wrong := outside_measures(tune.score):
        return wrong
    for name in formats:
        for data in rollstave.write(tune, name):
            if wrong := LOOKS[name](tune, data):
                return wrong if name in wrong else f"the {name} {wrong}"
            if name in _READ_AGAIN and (wrong := again_wrong(tune, name, data)):
                return wrong
    return None
