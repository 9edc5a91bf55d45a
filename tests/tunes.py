"""Invented tunes of the Larkspur Ferry school, and scores built by hand, for the tests."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import cache, partial
from pathlib import Path

from msgspec.structs import replace

import rollstave
from rollstave import TECHNIQUES
from rollstave.deciding.chords import chord_name
from rollstave.grid.typed import Bar, Link
from rollstave.instruments.setup import Setup
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.instruments.tunings import parse_tuning
from rollstave.pitch import Key, spell
from rollstave.problems import Place
from rollstave.rhythm.meter import Meter
from rollstave.rhythm.timed import Source
from rollstave.score.records import Event, Measure, Note, Rhythm, Score

SAMPLES = tuple(sorted((Path(__file__).parent.parent / "samples").glob("*.txt")))

# What stands around and over the notes: a pinch, a brush, a pickup, repeats with endings, chord
# names over a bass, lyrics, sections, capo, a raised and fretted fifth string; and some techniques.
# All of those are in the tune that the table of techniques makes, see :func:`every_technique`.
SIGNS = r"""Title: Every Sign of the Harbour
Composer: Larkspur Ferry school
Source: the sign sheet, page 1
Tuning: gCGBD
Capo: 2
Fifth string: raised to A
Key: D
Time: 4/4
Tempo: 90

A line of words & <marks> that stays on the sheet.

A part

          D/F#              Em7               N.C.              G
D|-----|:-0h2---4p2-----0-|-2/4-----4\2---0-|-5b--7^--0~--x---|<12>----(5)------|
B|-----|:-----1-----1-1---|-----3-----------|-------------x---|-----7*----------|
G|-----|:-----------------|-----------------|---0---0-----x---|---0-------5---0-|
C|/2-0-|:-----------------|-----------------|-------------x---|-----------------|
g|-----|:-----0---------0-|-------7-----10--|-----------0-----|-------0-----0---|
   T T    T   T T     I
                            Ring  the  slow   har-bour  bell

   1.                2.
   A7                D
D|-0---0---0---0---:|-2-0-----0---0---||
B|-1---1---1-------:|-----1-0-----1---||
G|-0---0-----------:|---------0-------||
C|-0---0-----------:|---------0-------||
g|-----0-----------:|-----------0-----||

Second strain

D|-------2s4-------|-7-----------\---||
B|-1---3-----1-----|---1-------------||
G|---0-----0---2-0-|-----0-----------||
C|-----------------|-----------0-----||
g|-----------------|-------0---------||
"""


@cache
def sample(name: str) -> rollstave.Tune:
    """A tune of the samples folder, read once."""
    path = next(p for p in SAMPLES if p.stem == name)
    (tune,) = rollstave.read(path)
    return tune


def _sample_score(name: str) -> Score:
    return sample(name).score


def _score_of(path: Path) -> Score:
    (tune,) = rollstave.read(path)
    return tune.score


def setup(
    tuning: str = "gDGBD", capo: int = 0, raised: int = 0, by: str = "capo", count: str = "neck"
) -> Setup:
    """A banjo as it is held for a tune."""
    known = parse_tuning(tuning, FIVE_STRING_BANJO)
    assert known is not None
    assert by in ("capo", "peg")
    assert count in ("neck", "peg")
    return Setup(
        instrument=FIVE_STRING_BANJO,
        tuning=known,
        capo=capo,
        short_raise=raised,
        short_raised_by="peg" if by == "peg" else "capo",
        short_numbering="peg" if count == "peg" else "neck",
    )


Struck = tuple[int, int]
Timed = tuple[Fraction | int | str, Sequence[Struck]]
SURE = Rhythm(confidence=1.0, sure=True, source=Source.WRITTEN, reasons=("built by hand",))


def measure(index: int, timed: Sequence[Timed], held: Setup, key: Key, number: int) -> Measure:
    """A measure from durations and (string, fret) pairs; no pairs make a rest."""
    events = []
    now = Fraction(0)
    for position, (length, struck) in enumerate(timed):
        duration = Fraction(length)
        notes = tuple(
            Note(
                string=string,
                fret=fret,
                pitch=spell(held.midi(string, fret), key.fifths),
                place=Place(index + 1, 8 * position + string),
            )
            for string, fret in struck
        )
        events.append(Event(now, duration, notes))
        now += duration
    return Measure(index=index, number=number, length=now, events=tuple(events), rhythm=SURE)


def score(
    measures: Sequence[Sequence[Timed]],
    meter: Meter = Meter(4, 4),  # noqa: B008 - frozen
    key: Key = Key("G"),  # noqa: B008 - frozen
    held: Setup | None = None,
    pickup: bool = False,
) -> Score:
    """A score from rows of (duration, strings and frets)."""
    held = held or setup()
    built = [
        measure(i, timed, held, key, i if pickup else i + 1) for i, timed in enumerate(measures)
    ]
    if pickup:
        built[0] = replace(built[0], implicit=True)
    built[-1] = replace(built[-1], right=Bar.FINAL)
    return Score(
        title="The Tin Lighthouse",
        setup=held,
        key=key,
        meter=meter,
        tempo=Fraction(96),
        measures=tuple(built),
    )


def _triplets() -> Score:
    third = Fraction(1, 3)
    return score(
        [
            [
                *((third, [(string, 0)]) for string in (3, 2, 1)),
                (1, [(5, 0)]),
                (2 * third, [(3, 2)]),
                (third, [(2, 1)]),
                (1, [(1, 2), (5, 0)]),
            ],
            [
                *((2 * third, [(string, 0)]) for string in (3, 2, 1)),
                *((third / 2, [(string, 2)]) for string in (3, 2, 1)),
                ("1/2", [(1, 2)]),
                (1, []),
            ],
        ]
    )


def _ties() -> Score:
    """Notes that start off the beat and hold over it, dotted notes, rests, short values."""
    return score(
        [
            [("1/2", [(3, 0)]), (2, [(2, 1), (1, 2)]), ("1/4", []), ("5/4", [(5, 7)])],
            [
                ("3/4", [(3, 3)]),
                ("1/4", [(3, 2)]),
                ("1/8", [(2, 0)]),
                ("1/8", [(1, 0)]),
                ("11/4", [(4, 5)]),
            ],
            [(4, [(3, 0), (2, 1), (1, 2)])],
            [(4, [])],
        ],
        key=Key("C"),
        held=setup("gCGBD"),
    )


def _compound() -> Score:
    eighth = Fraction(1, 2)
    roll = [(3, 0), (2, 1), (1, 2), (3, 0), (2, 1), (1, 2)]
    return score(
        [
            [(eighth, [(1, 0)])],
            [(eighth, [pair]) for pair in roll],
            [("3/2", [(3, 2)]), (1, [(2, 3)]), (eighth, [(5, 9)])],
        ],
        meter=Meter(6, 8),
        key=Key("F"),
        held=setup("gCGBD"),
        pickup=True,
    )


def _repeats() -> Score:
    """A repeat with three passes, a plain repeat, chords over a bass, links over a bar."""
    quarter = [(1, [(string, 0)]) for string in (3, 2, 5, 1)]
    base = score([quarter] * 7)
    m = list(base.measures)
    chord = chord_name("C/G", Fraction(0))
    m[0] = replace(m[0], left=Bar.REPEAT_START, section="A", chords=(chord,))
    m[1] = replace(m[1], ending="1,2", ending_stop=True, in_ending="1,2", right=Bar.REPEAT_END)
    m[2] = replace(m[2], ending="3", ending_stop=True, in_ending="3", right=Bar.DOUBLE)
    m[3] = replace(m[3], left=Bar.REPEAT_START, section="B")
    m[4] = replace(m[4], right=Bar.REPEAT_END)
    events = list(m[5].events)
    notes = (replace(events[0].notes[0], link=Link.HAMMER_ON),)
    events[0] = replace(events[0], notes=notes)
    m[5] = replace(m[5], events=tuple(events))
    return replace(base, measures=tuple(m))


@cache
def signs() -> rollstave.Tune:
    """The tune of what stands around the notes."""
    (tune,) = rollstave.read(SIGNS)
    return tune


def every_technique() -> str:
    """A tab with a measure for each technique that is a sign at notes; those that can only stand at
    the first note of a string are in the first measure. What is held is one long note in MusicXML,
    and grace notes take no time, so both have tests of their own."""
    typed = [
        (cell, row.from_nowhere or row.field == "slide_from")
        for row in TECHNIQUES
        if row.what in ("link", "mark", "edge") and not row.held
        for cell in row.examples
    ]
    opening = [cell for cell, first in typed if first and not cell[0].isdigit()]
    rows = dict.fromkeys((1, 2, 4, 3, 5), "")
    for place, string in enumerate((1, 2, 4)):
        rows[string] += f"{'-' * (1 + 5 * place)}{opening[place]}".ljust(17, "-") + "|"
    for string in (3, 5):
        rows[string] += "-" * 17 + "|"
    assert len(opening) == 3
    for cell in (cell for cell, _ in typed if cell not in opening):
        rows[1] += f"-{cell}".ljust(17, "-") + "|"
        rows[3] += f"{'-' * 9}0{'-' * 7}|"
        for string in (2, 4, 5):
            rows[string] += "-" * 17 + "|"
    tab = "".join(f"{'DBGDg'[s - 1]}|{rows[s]}\n" for s in range(1, 6))
    return f"Title: The Weir\nTuning: gDGBD\nKey: G\nTime: 4/4\n\n{tab}"


@cache
def techniques() -> rollstave.Tune:
    """The tune that is made from the table of techniques."""
    (tune,) = rollstave.read(every_technique())
    return tune


CASES: dict[str, Callable[[], Score]] = {
    **{path.stem: partial(_sample_score, path.stem) for path in SAMPLES},
    "every-sign": lambda: signs().score,
    "every-technique": lambda: techniques().score,
    "triplets": _triplets,
    "ties": _ties,
    "compound": _compound,
    "repeats": _repeats,
}


# Invented tabs that each press one thing on the sheet.
STRESS = tuple(sorted((Path(__file__).parent / "writing" / "stress").glob("*.txt")))
_STRESSED: dict[str, Callable[[], Score]] = {p.stem: partial(_score_of, p) for p in STRESS}


@cache
def case(name: str) -> Score:
    """A score of CASES or of STRESS, built once."""
    return {**CASES, **_STRESSED}[name]()


@cache
def written(name: str, to: str) -> tuple[bytes, ...]:
    """The pages of a case in a format, written once."""
    if to == "svg":
        from tests import sheets  # which knows the cases

        return sheets.pages(name)
    return tuple(rollstave.write(case(name), to))


@cache
def starts(name: str) -> tuple[Fraction, ...]:
    """Where each measure of a case starts, repeats not played out."""
    found = [Fraction(0)]
    for each in case(name).measures:
        found.append(found[-1] + each.length)
    return tuple(found)


Sounding = tuple[Fraction, Fraction, int]


@cache
def sounding(name: str) -> tuple[Sounding, ...]:
    """(onset, duration, MIDI number) of every note of a case, in order."""
    return tuple(
        sorted(
            (start + event.onset, event.duration, note.pitch.midi)
            for each, start in zip(case(name).measures, starts(name), strict=False)
            for event in each.events
            for note in event.notes
        )
    )
