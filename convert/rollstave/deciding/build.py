"""From grid and rhythm to the score: pitches, fingers, chords, numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from msgspec import Struct

from rollstave.deciding.about import About, declared_beside, read_about
from rollstave.deciding.agreeing import take_back_what_agrees
from rollstave.deciding.changes import (
    by_setup,
    held,
    keys_said,
    meters_said,
    tempos_said,
    with_changes,
)
from rollstave.deciding.chord_spelling import spelled_by_chords
from rollstave.deciding.doubts import report_rhythm
from rollstave.deciding.fine_times import report_fine_times
from rollstave.deciding.grace_spelling import graces_raised
from rollstave.deciding.hands import hand_of
from rollstave.deciding.held_voices import with_voices
from rollstave.deciding.measures import MeasureBuilder, sounding
from rollstave.deciding.named_by import held_by_shape, names_of_shapes
from rollstave.deciding.naming import with_chord_names
from rollstave.deciding.picking import hand_of_letters, with_fingers
from rollstave.deciding.playback import report_playing
from rollstave.deciding.setups import setups_said
from rollstave.deciding.tempo import parse_tempo
from rollstave.grid.typed import FreeText, GraceStroke, GridMeasure, GridTune
from rollstave.instruments.instrument import Instrument
from rollstave.instruments.setup import NoSuchFret, Setup
from rollstave.pitch import Key
from rollstave.problems import Place, ProblemList
from rollstave.rhythm import RhythmReading, infer_stretches
from rollstave.rhythm.offered import Others, no_others
from rollstave.score.finding import Finding, How
from rollstave.score.records import Measure, Score, fields_of_headings
from rollstave.vocabulary import problems as kinds

_PLAIN_METER = 0.95  # an inferred meter less probable than this is pointed out


class Built(Struct, frozen=True):
    """A score and what was found out on the way to it."""

    score: Score
    findings: tuple[Finding, ...]


def build_score(
    grid: GridTune,
    instrument: Instrument,
    problems: ProblemList,
    fallback_title: str = "",
    evidence: Others = no_others,
) -> Built:
    """Build the score of one tune; everything doubtful is added to ``problems``. ``evidence`` for
    the rhythm is asked beside our own."""
    about = read_about(grid, instrument, problems)
    meters = meters_said(grid.measures, problems)
    reading = infer_stretches(grid.measures, about.meter, about.dance, evidence, meters)
    new = setups_said(grid.measures, about.setup, problems)
    setups = held(about.setup, new, len(grid.measures)) or (about.setup,) * len(grid.measures)
    midi = _pitches(grid.measures, setups, problems)
    changes = keys_said(grid.measures, problems)
    key, key_finding = _key(about, grid.measures[: min(changes, default=None)], midi)
    keys = held(key, changes, len(grid.measures))
    tempo = _tempo(about, grid, reading)
    tempos = held(tempo, tempos_said(grid.measures, reading, problems), len(grid.measures))
    hand = hand_of(about.style)
    builder = MeasureBuilder(about.setup, key, hand, problems)
    measures = builder.measures(grid.measures, reading, keys, setups)
    if not about.style:
        hand = hand_of_letters(measures, hand)
    said = [(note.before_measure, note.text) for note in grid.notes]
    measures = with_fingers(measures, hand, said)
    measures, voices = with_voices(measures, grid, problems)
    by_shape = names_of_shapes(measures, setups)
    if by_shape:
        measures = by_setup(measures, setups, held_by_shape)
    measures = with_chord_names(measures, keys or (key,) * len(measures), about.setup)
    measures = with_changes(
        measures, meters=reading.meters, keys=keys, tempos=tempos, setups=setups
    )
    measures = graces_raised(measures if by_shape else spelled_by_chords(measures, keys or (key,)))
    report_rhythm(grid, measures, reading, problems)
    places = [Place(m.first_line, m.first_column) for m in grid.measures]
    report_playing(measures, problems, places)
    report_fine_times(measures, problems, places)
    title = about.title or fallback_title
    score = Score(
        title=title,
        setup=about.setup,
        key=key,
        meter=reading.meter,
        tempo=tempo,
        measures=measures,
        notes=tuple(_words_of(note, measures) for note in grid.notes),
        note_measures=tuple(max(0, n.before_measure - n.beside) for n in grid.notes),
        signs=grid.signs,
        chords_by_shape=by_shape is not None,
        **fields_of_headings(about.words),
    )
    take_back_what_agrees(grid, score, problems)
    meter_finding = _meter_found(about, grid, reading, problems)
    title_finding = Finding("title", title, How.DECLARED if about.title else How.ASSUMED)
    names = () if by_shape is None else (by_shape,)
    found = (title_finding, *about.findings, key_finding, meter_finding, *voices, *names)
    return Built(score, (*found, *declared_beside(score)))


def _meter_found(
    about: About, grid: GridTune, reading: RhythmReading, problems: ProblemList
) -> Finding:
    """How the meter at the beginning is known. One that nobody names is pointed out where it is not
    plain, and where another is named later."""
    if about.meter is not None:
        return Finding("meter", str(reading.meter), How.DECLARED)
    if reading.meters or reading.meter_confidence < _PLAIN_METER:
        named = any(h.key == "time" for h in grid.headings)
        later = " at the beginning" if reading.meters else ""
        problems.add(
            kinds.METER_ASSUMED,
            f"no time is {'understood' if named else 'named'}{later} and {reading.meter} is read "
            f"({reading.meter_reason}); if that is wrong, add a line such as: Time: 4/4",
        )
    return Finding(
        subject="meter",
        value=str(reading.meter),
        how=How.INFERRED,
        reason=reading.meter_reason,
    )


def _tempo(about: About, grid: GridTune, reading: RhythmReading) -> Fraction | None:
    """The tempo in quarter notes; where no time is named, a number counts the beats of the one
    that is read."""
    said = next((h for h in grid.headings if h.key == "tempo"), None)
    if said is None or about.meter is not None or about.tempo is None:
        return about.tempo
    return parse_tempo(said.text, reading.meter)


def _words_of(note: FreeText, measures: Sequence[Measure]) -> str:
    """The words of a line; a remark under a measure names it."""
    if note.of_measure is None or note.of_measure >= len(measures):
        return note.text
    return f"{measures[note.of_measure].called}: {note.text}"


def _pitches(
    measures: Sequence[GridMeasure], setups: Sequence[Setup], problems: ProblemList
) -> dict[Place, int]:
    """MIDI numbers by place; frets that do not exist are errors."""
    found: dict[Place, int] = {}
    known: dict[tuple[int, int | None, bool, bool], int] = {}
    now = setups[0] if setups else None
    for measure, setup in zip(measures, setups, strict=True):
        if setup is not now:
            now, known = setup, {}
        for column in measure.columns:
            for stroke in column.strokes:
                stopped = (stroke.string, stroke.fret, stroke.half, stroke.harmonic)
                try:
                    if stopped not in known:
                        known[stopped] = sounding(stroke, setup)
                    found[stroke.place] = known[stopped]
                except NoSuchFret as error:
                    problems.add(kinds.FRET, str(error), stroke.place)
                    found[stroke.place] = setup.open_midi(stroke.string)
            for grace in column.grace:
                _check_grace(grace, setup, problems)
    return found


def _check_grace(grace: GraceStroke, setup: Setup, problems: ProblemList) -> None:
    try:
        setup.midi(grace.string, grace.fret, grace.half)
    except NoSuchFret as error:
        problems.add(kinds.FRET, str(error), grace.place)


def _key(
    about: About, measures: Sequence[GridMeasure], midi: Mapping[Place, int]
) -> tuple[Key, Finding]:
    """The key of the measures up to where another is named: the one that is named, or the one that
    their notes fit best."""
    if about.key is not None:
        return about.key, Finding("key", str(about.key), How.DECLARED)
    from rollstave.deciding.theory import find_key

    struck = {s.place for m in measures for column in m.columns for s in column.strokes}
    key, reason = find_key([midi[place] for place in sorted(struck, key=_by_place)])
    return key, Finding(subject="key", value=str(key), how=How.INFERRED, reason=reason)


def _by_place(place: Place) -> tuple[int, int]:
    return place.line, place.column
