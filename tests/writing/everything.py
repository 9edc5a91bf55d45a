"""One score that has every sign, built by hand, so that what must be written is known note by note.

gDGBD: string 1 is D4 (62), 2 B3 (59), 3 G3 (55), 4 D3 (50), 5 G4 (67); the staff is written an
octave up, so its middle line sounds B3. Each measure has one purpose; the tests say in tables what
each note must have in every format.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import cache
from typing import Any

from msgspec.structs import replace

import rollstave
from rollstave.deciding.chords import chord_name
from rollstave.grid.typed import Bar, Link, SlideEdge
from rollstave.pitch import Key, spell
from rollstave.problems import Place
from rollstave.score.records import Event, Finger, GraceNote, Score
from rollstave.writing.options import Paper, SheetOptions
from tests import tunes

E, Q, S, T = Fraction(1, 2), Fraction(1), Fraction(1, 4), Fraction(1, 3)
ROLL = [(E, [(string, 0)]) for string in (3, 2, 5, 1, 3, 2, 5, 1)]

# (duration, strings and frets), measure by measure; the pickup first.
TIMED: tuple[Sequence[tunes.Timed], ...] = (
    # 0: the pickup, two eighths
    [(E, [(4, 0)]), (E, [(4, 2)])],
    # 1: a forward roll in eighths; the thumb and two fingers
    ROLL,
    # 2: every way in which a beat is divided
    [
        *((3 * S, [(3, 0)]), (S, [(2, 0)])),
        *((S, [(3, 0)]), (S, [(2, 0)]), (E, [(1, 0)])),
        *((E, [(3, 0)]), (S, [(2, 0)]), (S, [(1, 0)])),
        *((S, [(3, 0)]), (E, [(2, 0)]), (S, [(1, 0)])),
    ],
    # 3: links: hammer-on, pull-off, slide, tap, and one over the bar
    [
        *((E, [(3, 0)]), (E, [(3, 2)]), (E, [(3, 0)]), (E, [(2, 1)])),
        *((E, [(2, 3)]), (E, [(1, 2)]), (E, [(1, 9)]), (E, [(4, 0)])),
    ],
    # 4: ends the link; signs on single notes
    [(Q, [(4, 2)]), (Q, [(3, 3)]), (Q, [(2, 5)]), (Q, [(1, 4)])],
    # 5: ending 1: heads
    [(Q, [(3, 0)]), (Q, [(2, 0)]), (Q, [(1, 12)]), (Q, [(1, 2), (2, 1), (3, 0)])],
    # 6: ending 2: slides from and to nowhere, a rest
    [(Q, [(3, 2)]), (Q, [(3, 4)]), (Q, [(2, 3)]), (E, [(2, 1)]), (E, [])],
    # 7: triplets
    [
        *((T, [(3, 0)]), (T, [(2, 0)]), (T, [(1, 0)])),
        *((2 * T, [(3, 0)]), (T, [(2, 0)])),
        *((2 * T, [(3, 0)]), (2 * T, [(2, 0)]), (2 * T, [(1, 0)])),
    ],
    # 8: held over beats and dotted
    [(E, [(3, 0)]), (2 * Q, [(2, 1), (1, 2)]), (3 * E, [(4, 2)])],
    # 9: grace notes
    [(Q, [(3, 4)]), (Q, [(2, 1)]), (Q, [(3, 2)]), (Q, [(1, 0), (2, 0)])],
    # 10: stems around the middle line, which is string 2 open; accidentals
    [(Q, [(2, 0)]), (Q, [(3, 3)]), (Q, [(1, 3)]), (E, [(3, 4)]), (E, [(2, 1)])],
    # 11: a brush, words; leads to the coda
    [(2 * Q, [(1, 0), (2, 0), (3, 0), (4, 0)]), (Q, [(3, 2)]), (Q, [(2, 0)])],
    # 12: goes back
    ROLL,
    # 13: the coda
    ROLL,
    # 14: a measure of silence
    [(4 * Q, [])],
    # 15: the end, half note and whole chord; a fret of the short string
    [(2 * Q, [(5, 9)]), (2 * Q, [(1, 0), (5, 0)])],
)
FINGERS = "TIMTIMTM"  # a forward roll

# What is changed of single notes: (measure, event, string) and the fields of the note.
NOTES: Mapping[tuple[int, int, int], Mapping[str, Any]] = {
    (3, 1, 3): {"link": Link.HAMMER_ON},
    (3, 2, 3): {"link": Link.PULL_OFF},
    (3, 4, 2): {"link": Link.SLIDE},
    (3, 6, 1): {"link": Link.TAP},
    (4, 0, 4): {"link": Link.HAMMER_ON},
    (4, 1, 3): {"bend": 1, "left_finger": 3},
    (4, 2, 2): {"vibrato": True, "finger": Finger.INDEX, "inferred_finger": True},
    (4, 3, 1): {"let_ring": True, "bend": 3},
    (5, 0, 3): {"muted": True},
    (5, 1, 2): {"ghost": True},
    (5, 2, 1): {"harmonic": True},
    (6, 0, 3): {"slide_from": SlideEdge.UP},
    (6, 1, 3): {"slide_from": SlideEdge.DOWN},
    (6, 2, 2): {"slide_to": SlideEdge.UP},
    (6, 3, 2): {"slide_to": SlideEdge.DOWN},
}
# (measure, event) and its grace notes: groups of (string, fret, how it leads on).
GRACES: Mapping[tuple[int, int], Sequence[Sequence[tuple[int, int, Link | None]]]] = {
    (9, 0): [[(3, 2, Link.HAMMER_ON)]],
    (9, 1): [[(3, 0, None)], [(3, 2, Link.SLIDE)], [(3, 4, None)]],
    (9, 2): [[(3, 4, Link.PULL_OFF)]],
    (9, 3): [[(1, 2, None), (2, 1, None)]],
}
LYRICS = {(10, 0): "Row", (10, 1): "har-", (10, 2): "bour-", (10, 3): "mas-", (10, 4): "ter"}
EVENTS: Mapping[tuple[int, int], Mapping[str, Any]] = {
    (8, 0): {"down_stroke": True},
    (8, 1): {"down_stroke": True},
    (8, 2): {"up_stroke": True},
    (11, 0): {"brush": True},
}
MEASURES: Mapping[int, Mapping[str, Any]] = {
    0: {"implicit": True},
    1: {"left": Bar.REPEAT_START, "section": "A part"},
    5: {"ending": "1", "in_ending": "1", "ending_stop": True, "right": Bar.REPEAT_END},
    6: {"ending": "2", "in_ending": "2", "ending_stop": True, "right": Bar.DOUBLE},
    7: {"section": "Bridge", "segno": True, "left": Bar.REPEAT_START},
    10: {"right": Bar.REPEAT_END, "times": 3},
    11: {"to_coda": True},
    12: {"jump": "D.S. al Coda", "right": Bar.DOUBLE},
    13: {"coda": True, "section": "Coda"},
    15: {"right": Bar.FINAL},
}
CHORDS = {1: ("G", False), 3: ("Am7", False), 9: ("D7/F#", True), 13: ("N.C.", False)}
# By hand from common practice, no source: the pickup, the first strain twice with its endings, the
# second three times, on to the jump; then from the segno without repeats to "To Coda", and the
# coda.
PLAYED = (
    *(0, 1, 2, 3, 4, 5, 1, 2, 3, 4, 6),
    *(7, 8, 9, 10, 7, 8, 9, 10, 7, 8, 9, 10),
    *(11, 12, 7, 8, 9, 10, 11, 13, 14, 15),
)


def _event(base: Score, measure: int, index: int, event: Event) -> Event:
    notes = tuple(
        replace(note, **NOTES.get((measure, index, note.string), {})) for note in event.notes
    )
    if measure in (1, 12, 13):
        notes = tuple(replace(note, finger=Finger(FINGERS[index])) for note in notes)
    grace = tuple(
        tuple(
            GraceNote(
                string=string,
                fret=fret,
                pitch=spell(base.setup.midi(string, fret), base.key.fifths),
                place=Place(measure + 1, 8 * index + string),
                leads=leads,
            )
            for string, fret, leads in group
        )
        for group in GRACES.get((measure, index), ())
    )
    changes = {"lyric": LYRICS.get((measure, index)), **EVENTS.get((measure, index), {})}
    return replace(event, notes=notes, grace=grace, **changes)


@cache
def score() -> Score:
    """The score; its tempo is 96 quarter notes a minute."""
    base = tunes.score(list(TIMED), key=Key("G"), pickup=True)
    measures = []
    for index, measure in enumerate(base.measures):
        changes: dict[str, Any] = dict(MEASURES.get(index, {}))
        if index in CHORDS:
            name, inferred = CHORDS[index]
            changes["chords"] = (replace(chord_name(name, Fraction(0)), inferred=inferred),)
        events = tuple(_event(base, index, at, event) for at, event in enumerate(measure.events))
        measures.append(replace(measure, events=events, **changes))
    return replace(
        base,
        title="All the Ferry's Bells",
        composer="Larkspur Ferry school",
        source="the bell book, page 3",
        notes=("Ring them slowly.",),
        measures=tuple(measures),
    )


# A page that holds everything.
LONG = Paper("long", 21_000, 90_000)


@cache
def written(to: str) -> bytes:
    """The score in a format of one file, written once; a sheet on one long page."""
    (made,) = rollstave.write(score(), to, SheetOptions(paper=LONG))
    return bytes(made)
