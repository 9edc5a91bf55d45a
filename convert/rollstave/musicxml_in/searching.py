"""Strings and frets for the notes that have none; those that have them keep them.

What no grip can play is left out and named, measure by measure, so that one note beyond the neck
costs that note and no more.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import combinations

from rollstave.grid.typed import Link
from rollstave.instruments.setup import Setup
from rollstave.musicxml_in.fretting import Wanted, find_between, places_of, playable
from rollstave.musicxml_in.naming import measures_named
from rollstave.musicxml_in.notes import Heard
from rollstave.musicxml_in.sounding import as_it_sounds
from rollstave.problems import ProblemList, Severity, TabError
from rollstave.vocabulary import problems as kinds

Struck = list[tuple[Fraction, list[Heard]]]  # the events of a measure: onset and notes

_OCTAVES = (-1, 1, -2, 2)


def find_places(
    measures: list[Struck], named: Sequence[str], setup: Setup, problems: ProblemList
) -> None:
    """Give every note of a tune a string and a fret, or leave it out and say so. ``named`` is what
    each measure is called. Raises TabError where nothing at all can be played."""
    bare = [
        (called, notes)
        for called, events in zip(named, measures, strict=True)
        for _, notes in events
        if any(note.string is None for note in notes)
    ]
    if bare:
        pitches = [n.pitch.midi for events in measures for _, notes in events for n in notes]
        left = _leave_out(bare, pitches, setup, problems)
        if left and not any(notes for events in measures for _, notes in events):
            problems.add(kinds.RANGE, "nothing in this score can be played", None, Severity.ERROR)
            raise TabError(problems.sorted())
        measures[:] = [[(at, notes) for at, notes in events if notes] for events in measures]
        _search(measures, setup)
        _harmonics(bare, setup, problems)
        count = sum(bool(notes) for _, notes in bare)
        if count:
            several = count > 1
            have = f"{count} notes and chords have" if several else "a note or chord has"
            problems.add(
                kinds.FRETS,
                f"{have} no string and fret; the easiest way to play "
                f"{'them' if several else 'it'} in "
                f"{setup.tuning.written} was searched",
            )
    _hold(measures, named, problems)


def _leave_out(
    bare: Sequence[tuple[str, list[Heard]]],
    pitches: Sequence[int],
    setup: Setup,
    problems: ProblemList,
) -> bool:
    """Leave out what no grip plays, and say in which measure; True if something was."""
    lost: dict[str, list[str]] = {}
    beyond = False
    places = {midi: bool(places_of(midi, setup)) for midi in set(pitches)}
    for called, notes in bare:
        kept = [n for n in notes if n.string is not None or places[n.pitch.midi]]
        out = [n for n in notes if not (n.string is not None or places[n.pitch.midi])]
        beyond = beyond or bool(out)
        once = list({h.pitch.midi: h for h in kept}.values())
        if len(once) < len(kept) and not playable([h.pitch.midi for h in kept], setup):
            kept = once
            problems.add(
                kinds.UNISON,
                f"measure {called}: a pitch that is written twice in a chord is played once, "
                f"since no grip in {setup.tuning.written} has it on two strings",
            )
        if kept and not playable([h.pitch.midi for h in kept], setup):
            kept, more = _most(kept, setup)
            out += more
        notes[:] = kept
        if out:
            lost.setdefault(called, []).extend(str(n.pitch) for n in out)
    for called, names in lost.items():
        problems.add(
            kinds.RANGE,
            f"measure {called}: {', '.join(names)} cannot be played in {setup.tuning.written} and "
            f"{'are' if len(names) > 1 else 'is'} left out",
            None,
            Severity.WARNING,
        )
    if beyond and (advice := _advice(pitches, setup)):
        problems.add(kinds.RANGE, advice, None, Severity.WARNING)
    return bool(lost)


def _most(notes: Sequence[Heard], setup: Setup) -> tuple[list[Heard], list[Heard]]:
    """As many notes of a chord as a grip plays, the highest among them, and the others."""
    ordered = sorted(notes, key=lambda n: -n.pitch.midi)[: 2 * setup.instrument.strings]
    for size in range(min(len(ordered), setup.instrument.strings), 0, -1):
        for chosen in combinations(ordered, size):
            if playable([n.pitch.midi for n in chosen], setup):
                kept = [n for n in notes if any(n is c for c in chosen)]
                return kept, [n for n in notes if not any(n is c for c in chosen)]
    return [], list(notes)


def _advice(pitches: Sequence[int], setup: Setup) -> str:
    """The transposition that has most of the notes on the neck."""

    def on_the_neck(steps: int) -> int:
        return sum(bool(places_of(midi + steps, setup)) for midi in pitches)

    best = max(_OCTAVES, key=lambda octaves: on_the_neck(12 * octaves))
    count, here = on_the_neck(12 * best), on_the_neck(0)
    if count <= here:
        return ""
    way = f"{'an octave' if abs(best) == 1 else 'two octaves'} {'lower' if best < 0 else 'higher'}"
    share = "all notes are" if count == len(pitches) else f"{count} of {len(pitches)} notes are"
    return f"{way} {share} on the neck (here {here}): --octave {best} reads the score so"


def _search(measures: Sequence[Struck], setup: Setup) -> None:
    """Find the easiest way through the tune that keeps the places there are."""
    events = [notes for struck in measures for _, notes in struck]
    wanted = [
        Wanted(
            pitches=tuple(n.pitch.midi for n in notes),
            fixed=tuple(_place(n) for n in notes),
            held=tuple(i for i, n in enumerate(notes) if n.link is Link.TIE),
        )
        for notes in events
    ]
    for notes, grip in zip(events, find_between(wanted, setup), strict=True):
        for note, (string, fret) in zip(notes, grip, strict=True):
            if (note.string, note.fret) != (string, fret):
                note.string, note.fret, note.half = string, fret, False


def _place(note: Heard) -> tuple[int, int] | None:
    if note.string is None or note.fret is None:
        return None
    return note.string, note.fret


def _harmonics(
    bare: Sequence[tuple[str, list[Heard]]], setup: Setup, problems: ProblemList
) -> None:
    """Harmonics that were put where no harmonic has their pitch are plain notes."""
    plain = 0
    for _, notes in bare:
        for note in notes:
            written = note.pitch
            if note.harmonic:
                as_it_sounds(note, setup, 0)
            if note.pitch != written:
                note.pitch, note.harmonic = written, False
                plain += 1
    if plain:
        problems.add(
            kinds.LEFT_OUT,
            f"{plain} harmonics have no string and fret, and no harmonic has their pitch where "
            "they are put: they are plain notes",
        )


def _hold(measures: list[Struck], named: Sequence[str], problems: ProblemList) -> None:
    """A note that a tie leads to over a bar sounds on where the string was struck; where that is
    not known it is left to ring, without a note of its own, and the measure is named."""
    last: dict[int | None, Heard] = {}
    rung: list[str] = []
    for place, (called, events) in enumerate(zip(named, measures, strict=True)):
        for _, notes in events:
            for note in list(notes):
                before = last.get(note.string)
                if note.link is Link.TIE and (
                    before is None or before.pitch.midi != note.pitch.midi
                ):
                    notes[:] = [n for n in notes if n is not note]
                    rung += [*named[max(0, place - 1) : place], called]
                    continue
                last[note.string] = note
    measures[:] = [[(at, notes) for at, notes in events if notes] for events in measures]
    if rung:
        problems.add(
            kinds.TIED,
            f"{measures_named(rung)}: notes tied over a bar line are left to ring, since something "
            "else is played on their string; they are not struck again",
        )
