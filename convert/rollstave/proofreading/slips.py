"""Likely slips: a note that the rest of the tune speaks against, and another one for.

The evidence is gathered in :mod:`rollstave.proofreading.slip_evidence` and weighed with fitted
weights; here the notes above the threshold become marks with the plainest reason there is.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from msgspec import Struct

from rollstave.api import Tune
from rollstave.deciding.chords import chord_tones
from rollstave.problems import Place
from rollstave.proofreading.correction import Correction
from rollstave.proofreading.slip_evidence import NAMES, Candidate, candidates
from rollstave.proofreading.surroundings import Struck, Surroundings
from rollstave.proofreading.weights import weights_of
from rollstave.score.records import ChordName, Measure
from rollstave.vocabulary import problems as kinds

_FEWEST_NOTES = 24  # of a tune that shows what is usual in it
_AROUND = tuple(NAMES.index(name) for name in ("around_2", "before_4", "after_4", "around_1"))
_TABLES = (1, 2, 3, 0)  # the surroundings of those features
_MEASURE = NAMES.index("measure")
_RUNS, _TRIAD, _PLACE = (NAMES.index(name) for name in ("runs", "triad", "place"))
_ALONE, _STRINGS = NAMES.index("alone"), NAMES.index("strings")


class _Twin(Struct, frozen=True):
    """Another note in the same surroundings: its event, whether its whole measure is the same,
    and how many measures are."""

    event: int
    measure: bool
    times: int


def likely_slips(tune: Tune, without: Collection[int] = ()) -> Iterator[Correction]:
    """The most striking first; of two notes that contradict each other one is marked. ``without``
    are systems that neither are looked at nor speak for anything."""
    around = Surroundings(tune, without)
    if around.number < _FEWEST_NOTES:
        return
    weights = weights_of("slips", NAMES)
    best: dict[Place, tuple[float, Candidate]] = {}
    for candidate in candidates(around):
        score = weights.score(candidate.features)
        if _roll_speaks(around, candidate) or _shape_speaks(around, candidate):
            score = max(score, weights.threshold + 1)
        known = best.get(candidate.note.place)
        if score > weights.threshold and (known is None or score > known[0]):
            best[candidate.note.place] = (score, candidate)
    finder = _TwinFinder(around)
    excused: set[Place] = set()
    for _, candidate in sorted(best.values(), key=lambda item: -item[0]):
        place = candidate.note.place
        if place in excused:
            continue
        twin = finder.find(candidate)
        if _meant_by_chord(around, candidate, twin):
            continue
        also = _place_of(around, twin, candidate.meant) if twin and twin.times == 1 else None
        if also is not None:
            excused.add(also)
        yield _mark(around, candidate, twin, also)


def _roll_speaks(around: Surroundings, candidate: Candidate) -> bool:
    """Whether a string is struck twice running in a tune of rolls, where a measure that is else
    the same strikes another one: no finger does so (common practice, no source)."""
    if candidate.features[_RUNS] <= 0 or candidate.features[_MEASURE] <= 0:
        return False
    return not _is_linked(around, candidate)


def _shape_speaks(around: Surroundings, candidate: Candidate) -> bool:
    """Whether a fret lies beside that of the closed shape of its measure, which the string has
    there or elsewhere in the tune: the fingers are held, and none is free."""
    features, note, (string, fret) = candidate.features, candidate.note, candidate.meant
    beside = string == note.string and abs(fret - (note.fret or 0)) == 1
    if not beside or features[_TRIAD] <= 0 or features[_PLACE] <= 0:
        return False
    return not _is_linked(around, candidate)


def _is_linked(around: Surroundings, candidate: Candidate) -> bool:
    """Whether the left hand leads to a note or on from it."""
    after = around.at(around.notes, candidate.event + 1)
    linked = [candidate.note, *(n for n in after if n.string == candidate.note.string)]
    return any(note.link is not None for note in linked)


class _TwinFinder:
    """Finds where a candidate stands in the surroundings of the note; its index of the tune is
    made when it is first needed."""

    def __init__(self, around: Surroundings) -> None:
        self.around = around
        self._where: dict[tuple[int, object, Struck], int] | None = None
        self._measures: dict[tuple[object, Struck], int] = {}

    def find(self, candidate: Candidate) -> _Twin | None:
        around = self.around
        if self._where is None:
            self._where = self._index()
        typed = (candidate.note.string, candidate.note.fret or 0)
        if candidate.features[_MEASURE] > 0:
            key = around.hiding(candidate.event, typed)
            event = self._measures.get((key, candidate.meant))
            if event is not None:
                return _Twin(event, True, around.hidden[key][candidate.meant])
        keys = around.keys(candidate.event, typed)
        for feature, table in zip(_AROUND, _TABLES, strict=True):
            if candidate.features[feature] <= 0:
                continue
            event = self._where.get((table, keys[table], candidate.meant))
            if event is not None:
                return _Twin(event, False, around.tables[table][keys[table]][candidate.meant])
        return None

    def _index(self) -> dict[tuple[int, object, Struck], int]:
        where: dict[tuple[int, object, Struck], int] = {}
        for event, struck in enumerate(self.around.struck):
            for one in struck:
                for table, key in enumerate(self.around.keys(event, one)):
                    where.setdefault((table, key, one), event)
                if (hidden := self.around.hiding(event, one)) is not None:
                    self._measures.setdefault((hidden, one), event)
        return where


def _place_of(around: Surroundings, twin: _Twin, meant: Struck) -> Place | None:
    return next((n.place for n in around.notes[twin.event] if n.string == meant[0]), None)


def _meant_by_chord(around: Surroundings, candidate: Candidate, twin: _Twin | None) -> bool:
    """True if a chord name over the note holds it, and there is no twin or another name over it."""
    measures = around.tune.score.measures
    own = _chord_at(measures[around.measure[candidate.event]], around, candidate.event)
    if own is None:
        return False
    if twin is not None:
        other = _chord_at(measures[around.measure[twin.event]], around, twin.event)
        if other is not None and own.text == other.text:
            return False
    tones = chord_tones(own)
    return tones is not None and (candidate.note.pitch.midi - around.shift) % 12 in tones


def _chord_at(measure: Measure, around: Surroundings, event: int) -> ChordName | None:
    names = [c for c in measure.chords if c.onset <= around.onset[event] and not c.inferred]
    return names[-1] if names else None


def _mark(
    around: Surroundings, candidate: Candidate, twin: _Twin | None, also: Place | None
) -> Correction:
    note, (string, fret) = candidate.note, candidate.meant
    mend = f"{fret}" if string == note.string else f"{fret} on string {string}"
    if twin is None:
        return _mark_alone(candidate, mend)
    elsewhere = around.tune.score.measures[around.measure[twin.event]].called
    if twin.times > 1:
        elsewhere += f" and {twin.times - 1} more like it"
    same = "all else is the same" if twin.measure else "the notes around it are the same"
    if string == note.string:
        message = f"fret {note.fret} stands here where {elsewhere} has fret {fret}"
    else:
        message = f"this note is on string {note.string} where {elsewhere} has it on {string}"
    return Correction(
        kind=kinds.SLIP, place=note.place, message=f"{message}, and {same}", mend=mend, also=also
    )


def _mark_alone(candidate: Candidate, mend: str) -> Correction:
    note = candidate.note
    if candidate.features[_ALONE]:
        message = (
            f"this note sounds {note.pitch.letter}, which sounds nowhere else in the tune, and "
            "the notes around it do not lead to it"
        )
        return Correction(kind=kinds.FOREIGN, place=note.place, message=message, mend=mend)
    if candidate.features[_STRINGS] > 0:
        message = (
            f"in this order of strings the tune elsewhere strikes string {candidate.meant[0]} "
            f"here, not {note.string}"
        )
    else:
        message = f"fret {note.fret} fits the notes around it and the rest of the tune badly"
    return Correction(kind=kinds.SLIP, place=note.place, message=message, mend=mend)
