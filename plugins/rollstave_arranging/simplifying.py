"""An easier hand, in four steps of which each takes in those before it.

1. no slurs and graces; 2. first position, open strings where the harmony allows; 3. the roll
thinned to melody and one drone or pinch after it; 4. the melody alone, in notes of a beat or longer
(common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from msgspec.structs import replace

from rollstave import Event, Measure, Note, Problem, Reworked, Score, chord_tones, settled
from rollstave_arranging.fingering import LEFT_OUT, Wanted, Way, cheapest, way
from rollstave_arranging.flow import NoteAt, moments, with_events
from rollstave_arranging.melody import melody_of
from rollstave_arranging.neck import short_of, spots_of
from rollstave_arranging.retuning import wide_grips
from rollstave_arranging.spans import shape_setup, spans_of
from rollstave_arranging.told import caution, change, many, numbered, refusal

LEVELS = {
    1: "no slurs and graces",
    2: "in first position, without slurs and graces",
    3: "the melody with one drone or pinch after it",
    4: "the melody alone, on the beats",
}
_FIRST = 4  # the last fret of first position
_SOON = Fraction(1, 2)  # quarter notes: a slur no longer than this is left out, not struck
_HIGH = 1.0  # each fret above first position


def easier(score: Score, level: int) -> Reworked:
    """The tune made easier by so many steps of :data:`LEVELS`. Raises TabError for no step."""
    if level not in LEVELS:
        raise refusal(
            f"there is no step {level}: easier takes 1 to 4; nearest comes {_near(level)}"
        )
    told: list[Problem] = []
    melody = melody_of(score)
    if level == 4 and not melody.notes:
        raise refusal("no melody is found in this tune; nearest comes --easier 2")
    marks = _Marked.of(score, melody.notes)
    made = _plain(marks, told)
    if level >= 3:
        made = _thinned(made) if level == 3 else _alone(made)
    new = made.score
    if level >= 2:
        new = _first_position(made, told)
    new = settled(new)
    if new == score:
        return Reworked(score=score, says="")
    before = sum(len(e.notes) for m in score.measures for e in m.events)
    after = sum(len(e.notes) for m in new.measures for e in m.events)
    told.insert(
        0, change(f"step {level}, {LEVELS[level]}: {after} of {many(before, 'note')} are left")
    )
    if level >= 3 and melody.doubtful:
        told.append(_doubted(score, melody.doubtful))
    told += wide_grips(score, new)
    return Reworked(score=new, says=f"easier, {LEVELS[level]}", changes=tuple(told))


def _doubted(score: Score, doubtful: frozenset[int]) -> Problem:
    """What to look through: the measures in which the melody may have been taken wrongly."""
    measures = [m for m in score.measures if m.index in doubtful]
    if 2 * len(measures) > len(score.measures):
        where = f"in {len(measures)} of {many(len(score.measures), 'measure')}"
    else:
        where = f"in {numbered(m.number for m in measures)}"
    return caution(
        f"{where} the melody cannot be told surely from the filling: what is left is a guess, on "
        "the strong beats where it can be; compare it with the tune"
    )


def _near(level: int) -> str:
    return f"--easier {max(1, min(4, level))}"


class _Marked:
    """A score whose melody is known. Notes are told by their identity: the score, and whoever
    makes one easier, keeps them alive meanwhile."""

    def __init__(self, score: Score, melody: frozenset[int]) -> None:
        self.score, self.melody = score, melody

    @classmethod
    def of(cls, score: Score, melody: frozenset[NoteAt]) -> _Marked:
        found = set()
        for moment in moments(score):
            for index, note in enumerate(moment.event.notes):
                if (*moment.at, index) in melody:
                    found.add(id(note))
        return cls(score, frozenset(found))

    def sings(self, note: Note) -> bool:
        return id(note) in self.melody

    def changed(self, measures: Sequence[Measure], moved: dict[int, Note] | None = None) -> _Marked:
        """The same with other measures; ``moved`` are notes that took the place of others."""
        ids = self.melody | {id(n) for was, n in (moved or {}).items() if was in self.melody}
        return _Marked(replace(self.score, measures=tuple(measures)), ids)


# 1. No slurs and graces ------------------------------------------------------------------------


def _plain(marked: _Marked, told: list[Problem]) -> _Marked:
    """Graces go; a quick slur leaves the one of its notes that has the tune, on the first one's
    time; a slow one is struck."""
    moved: dict[int, Note] = {}
    measures = []
    for measure in marked.score.measures:
        events: list[Event] = []
        for event in measure.events:
            slurred = [n for n in event.notes if n.link is not None]
            before = events[-1] if events else None
            quick = (
                before is not None
                and len(slurred) == len(event.notes) > 0
                and event.onset - before.onset <= _SOON
                and all(any(n.string == s.string for n in before.notes) for s in slurred)
            )
            if quick and before is not None:
                events[-1] = _merged(marked, before, event, moved)
                continue
            notes = []
            for note in event.notes:
                new = note if note.link is None else replace(note, link=None)
                new = replace(new, bend=None, vibrato=False, slide_from=None, slide_to=None)
                moved[id(note)] = new
                notes.append(new)
            events.append(replace(event, notes=tuple(notes), grace=()))
        measures.append(replace(measure, events=tuple(events)))
    return marked.changed(measures, _chain(moved))


def _chain(moved: dict[int, Note]) -> dict[int, Note]:
    """Where a note was moved twice, the last of it."""
    found = {}
    for was, note in moved.items():
        while id(note) in moved and moved[id(note)] is not note:
            note = moved[id(note)]
        found[was] = note
    return found


def _merged(marked: _Marked, before: Event, event: Event, moved: dict[int, Note]) -> Event:
    """Two events of a slur as one, with the notes of the second where only they have the tune."""
    back = {id(new): was for was, new in moved.items()}
    notes = []
    for note in before.notes:
        end = next((n for n in event.notes if n.string == note.string), None)
        was = back.get(id(note), id(note))
        if end is not None and marked.sings(end) and was not in marked.melody:
            new = replace(
                end, link=None, finger=note.finger, inferred_finger=note.inferred_finger, bend=None
            )
            moved[id(end)] = new
            notes.append(new)
        else:
            notes.append(note)
    return replace(before, duration=before.duration + event.duration, notes=tuple(notes))


# 2. First position -----------------------------------------------------------------------------


def _first_position(marked: _Marked, told: list[Problem]) -> Score:
    """Every note as low on the neck as its pitch lies, or an octave lower; what is no melody and
    lies high sounds an open string of the chord instead."""
    score, setup = marked.score, marked.score.setup
    short = short_of(setup)
    wanted = []
    tones = _tones(score)
    every = list(moments(score))
    for moment in every:
        rows = []
        for note in moment.event.notes:
            rows.append(_ways(marked, note, tones.get(moment.at, frozenset()), short))
        taken = {r[0].spot[0] for r in rows if len(r) == 1 and r[0].spot is not None}
        rows = [
            tuple(w for w in r if len(r) == 1 or w.spot is None or w.spot[0] not in taken)
            for r in rows
        ]
        wanted.append(Wanted(tuple(rows)))
    grips = cheapest(wanted, setup.capo)
    changed = {}
    for moment, grip in zip(every, grips, strict=True):
        notes = []
        for note, chosen in zip(moment.event.notes, grip, strict=True):
            if chosen.spot is None:
                continue
            string, fret, half = chosen.spot
            if marked.sings(note) and chosen.octave:
                told.append(
                    change(f"{note.pitch} lies high and is played an octave lower", note.place)
                )
            if (string, fret, half) == (note.string, note.fret or 0, note.half):
                notes.append(note)
            else:
                notes.append(replace(note, string=string, fret=fret, half=half, left_finger=None))
        changed[moment.at] = replace(
            moment.event, notes=tuple(sorted(notes, key=lambda n: n.string))
        )
    return with_events(score, changed)


def _tones(score: Score) -> dict[tuple[int, int], frozenset[int]]:
    """The pitch classes of the chord under each event."""
    shift = score.setup.capo if shape_setup(score) is not score.setup else 0
    found = {}
    for span in spans_of(score):
        tones = chord_tones(span.chord) if span.chord else None
        for moment in span.moments:
            found[moment.at] = frozenset((t + shift) % 12 for t in tones or ())
    return found


def _ways(marked: _Marked, note: Note, tones: frozenset[int], short: int | None) -> tuple[Way, ...]:
    setup = marked.score.setup
    own = Way((note.string, note.fret or 0, note.half), 0.0, stays=True)
    if note.fret is None or note.muted or note.harmonic or not note.fret:
        return (own,)
    sings = marked.sings(note)
    if note.fret <= _FIRST and note.string != short:
        stays = replace(own, cost=0.2 + 0.05 * note.fret)
        open_ = setup.open_midi(note.string) % 12
        if sings or open_ not in tones:
            return (stays,)
        return (Way((note.string, 0, False), 0.0),)
    found: list[Way] = []
    for octave in (0, -1, -2):
        for spot in spots_of(note.pitch.midi + 12 * octave, setup):
            if spot[0] == short and spot[1]:
                continue
            one = way(spot, was=note.string, finger=note.finger, short=short, octave=octave)
            high = _HIGH * max(0, spot[1] - _FIRST)
            found.append(replace(one, cost=min(one.cost, 4.0 + one.cost / 4) + high))
    if not sings:
        for string in range(1, setup.instrument.strings + 1):
            if setup.open_midi(string) % 12 in tones:
                one = way((string, 0, False), was=note.string, finger=note.finger, short=short)
                found.append(replace(one, cost=one.cost + 0.5))
    return (*sorted(found, key=lambda w: w.cost)[:8], LEFT_OUT)


# 3. and 4. Fewer notes -------------------------------------------------------------------------


def _thinned(marked: _Marked) -> _Marked:
    """Each note of the melody, and after it in the middle of its time one drone or pinch of those
    that were there, on a quarter if one is; before the first one what was there."""
    measures = []
    for measure, meter in zip(marked.score.measures, marked.score.meters, strict=True):
        pulse = Fraction(1) if meter.beat % 1 == 0 else Fraction(1, 2)
        events = [e for e in measure.events if e.notes]
        sung = [e for e in events if any(marked.sings(n) for n in e.notes)]
        ends = [*(e.onset for e in sung[1:]), measure.length]
        # Off the quarters a drone follows only where the tune leaves it no other time.
        close = all(end - e.onset <= pulse for e, end in zip(sung, ends, strict=False))
        kept: list[Event] = []
        for event, end in zip(sung, ends, strict=False):
            kept.append(
                replace(event, notes=tuple(n for n in event.notes if marked.sings(n)), brush=False)
            )
            after = [
                e
                for e in events
                if event.onset < e.onset < end and e not in sung and (close or e.onset % pulse == 0)
            ]
            if after and end - event.onset >= 1:
                middle = (event.onset + end) / 2
                kept.append(min(after, key=lambda e: (abs(e.onset - middle), _rank(e))))
        if not sung and events:
            beats = [e for e in events if e.onset % meter.beat == 0]
            kept = beats or events[:1]
        measures.append(_filled(measure, _on_beats(marked.score, measure, kept)))
    return marked.changed(measures)


def _on_beats(score: Score, measure: Measure, kept: Sequence[Event]) -> list[Event]:
    """The events, and where one comes off a beat that is silent now, what was struck on that beat
    before: a beginner counts from beat to beat."""
    beat = score.meter.beat
    before = score.meter.length - measure.length if measure.number == 0 else Fraction(0)
    struck = {event.onset: event for event in measure.events if event.notes}
    onsets = {event.onset for event in kept}
    missing = {(e.onset + before) // beat * beat - before for e in kept} - onsets
    return sorted(
        [*kept, *(struck[onset] for onset in missing if onset in struck)],
        key=lambda event: event.onset,
    )


def _rank(event: Event) -> int:
    """Pinches and the drone before single inner notes."""
    return 0 if len(event.notes) > 1 or event.notes[0].string == 5 else 1


def _alone(marked: _Marked) -> _Marked:
    """The melody on the beats, in 2/2 on the quarters that are counted. A note off the beat comes
    where its beat has none, or else on the next, which it came before (common practice, no
    source)."""
    measures = marked.score.measures
    onto: list[dict[Fraction, Event]] = [{} for _ in range(len(measures) + 1)]
    off = []
    for number, (measure, meter) in enumerate(zip(measures, marked.score.meters, strict=True)):
        beat = Fraction(1) if meter.beat % 1 == 0 else meter.beat
        short = meter.length - measure.length if measure.number == 0 else Fraction(0)
        for event in measure.events:
            notes = tuple(n for n in event.notes if marked.sings(n))
            if not notes:
                continue
            alone = replace(event, notes=notes, brush=False)
            place = (event.onset + short) // beat * beat - short
            after = place + beat
            own = (number, max(place, Fraction(0)))
            following = (number, after) if after < measure.length else (number + 1, Fraction(0))
            if place == event.onset:
                onto[number][event.onset] = alone
            else:
                off.append((own, following, alone))
    for (index, onset), (next_index, next_onset), event in off:
        if onset not in onto[index]:
            onto[index][onset] = event
        else:
            onto[next_index].setdefault(next_onset, event)
    made = []
    for measure, there in zip(measures, onto, strict=False):
        kept = [replace(there[onset], onset=onset) for onset in sorted(there)]
        made.append(_filled(measure, kept))
    return marked.changed(made)


def _filled(measure: Measure, kept: Sequence[Event]) -> Measure:
    """A measure of these events, each lasting to the next; a rest before the first."""
    if not kept:
        rest = Event(onset=Fraction(0), duration=measure.length, notes=())
        return replace(measure, events=(rest,))
    ends = [event.onset for event in kept[1:]] + [measure.length]
    events = [
        replace(event, duration=end - event.onset) for event, end in zip(kept, ends, strict=True)
    ]
    if kept[0].onset > 0:
        events.insert(0, Event(onset=Fraction(0), duration=kept[0].onset, notes=()))
    return replace(measure, events=tuple(events))
