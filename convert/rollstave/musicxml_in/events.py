"""Notes to events and measures: ties put together, strings and frets found where none are given."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from msgspec.structs import replace

from rollstave.grid.typed import Bar, Link
from rollstave.instruments.setup import NoSuchFret, Setup
from rollstave.musicxml_in.fretting import places_of, playable
from rollstave.musicxml_in.graces import HeardGrace, grace_groups, place_graces
from rollstave.musicxml_in.measures import ReadMeasure
from rollstave.musicxml_in.naming import measures_named
from rollstave.musicxml_in.notes import Heard
from rollstave.musicxml_in.places import share_places
from rollstave.musicxml_in.searching import find_places
from rollstave.musicxml_in.sounding import SoundingPitch, as_it_sounds, harmonic_on_string
from rollstave.pitch import spell
from rollstave.problems import Place, ProblemList, Severity
from rollstave.rhythm.timed import Source
from rollstave.score.records import Event, Measure, Note, Rhythm, fields_of_sung
from rollstave.vocabulary import problems as kinds

_MOST_GRACES = 16  # before a note: more are no ornament, and no row of a tab has room for them

_CLOSING = (Bar.REPEAT_END, Bar.DOUBLE, Bar.FINAL)  # bars after which a strain may open


def fretted(
    measures: Sequence[ReadMeasure], setup: Setup, problems: ProblemList, fifths: int = 0
) -> list[list[tuple[Fraction, list[Heard]]]]:
    """The notes of each measure by onset, every one with its string and fret; tied notes are
    added to the note before."""
    share_places(measures, setup)
    _check_places(measures, setup, fifths, problems)
    result: list[list[tuple[Fraction, list[Heard]]]] = []
    over_bar: dict[int, bool] = {}
    clashes: list[str] = []
    named = [read.number or str(index + 1) for index, read in enumerate(measures)]
    for read, called in zip(measures, named, strict=True):
        by_onset: dict[Fraction, list[Heard]] = {}
        sounding: dict[int, SoundingPitch] = {}
        lyrics = {h.onset: h.sung for h in read.heard if h.duration == 0}
        struck = now = Fraction(-1)  # when a note began last, and last before this onset
        for note in sorted(read.heard, key=lambda h: h.onset):
            if note.duration == 0:
                continue
            if note.onset > now:
                struck, now = now, note.onset
            same = sounding.setdefault(note.pitch.midi, SoundingPitch())
            if note.tied and same.prolonged(note, struck):
                continue
            first = same.strike(note)
            tie_is_open = over_bar.get(note.pitch.midi) if first and struck < 0 else None
            if note.tied and (tie_is_open or (tie_is_open is not None and note.onset == 0)):
                note.link = Link.TIE  # it rings on: nothing is struck
            note.sung = note.sung or lyrics.get(note.onset, {})
            by_onset.setdefault(note.onset, []).append(note)
        events = sorted(by_onset.items())
        clashes += [called for _, notes in events if _clash(notes, setup)]
        result.append(events)
        over_bar = _over_bar(sounding, read.length)
    if clashes:
        problems.add(
            kinds.ONE_STRING,
            f"{measures_named(clashes)}: two notes at once are on one string; another place for "
            "them is searched, or the first is played",
        )
    find_places(result, named, setup, problems)
    _graces(measures, result, setup, problems)
    return result


def without_frets(
    measures: Iterable[Sequence[tuple[Fraction, Sequence[Heard]]]],
    setups: Iterable[Setup],
    fifths: int,
) -> None:
    """Take the frets of dead notes away: they are typed and drawn as an x, whatever the hand lies
    on. Their pitch is that of the open string in the setup of their measure, as where they are
    typed."""
    for measure, setup in zip(measures, setups, strict=True):
        for _, notes in measure:
            for note in notes:
                if note.muted and note.string is not None:
                    note.fret, note.half = 0, False
                    note.pitch = spell(setup.open_midi(note.string), fifths)


def _clash(notes: list[Heard], setup: Setup) -> bool:
    """True if two notes struck at once are on one string: then places are searched for all of
    them, or, where no grip has them all, the first on the string stays."""
    first: dict[int | None, Heard] = {}
    for note in notes:
        first.setdefault(note.string, note)
    clashing = [n for n in notes if n.string is not None and first[n.string] is not n]
    if not clashing:
        return False
    if playable([n.pitch.midi for n in notes], setup):
        shared = {note.string for note in clashing}
        for note in notes:
            if note.string in shared:
                note.string = note.fret = None
                note.half = False
    else:
        notes[:] = [n for n in notes if n.string is None or first[n.string] is n]
    return True


def _check_places(
    measures: Sequence[ReadMeasure], setup: Setup, fifths: int, problems: ProblemList
) -> None:
    """String and fret must be on the neck and sound the pitch; otherwise the pitch is believed, as
    in a file that was transposed after its frets were written, and another place is searched. A
    harmonic and a muted note sound otherwise than their fret: a harmonic may be written as it
    sounds or as it is stopped (MusicXML 4.0 has both), so its place says what sounds."""
    absent: list[str] = []
    others: list[str] = []
    for index, read in enumerate(measures):
        graces = [(grace.heard, "grace note, ") for grace in read.graces]
        for note, kind in (*((heard, "") for heard in read.heard), *graces):
            if note.string is not None and not 1 <= note.string <= setup.instrument.strings:
                absent.append(
                    f"measure {read.number or index + 1}: {kind}there is no string {note.string}; "
                    f"another place for {note.pitch} is searched"
                )
                note.string = note.fret = None
            if note.string is None or note.muted:
                continue
            if note.harmonic:
                if note.fret is None:
                    harmonic_on_string(note, setup)
                as_it_sounds(note, setup, fifths)
                continue
            if note.fret is None:
                _find_on_string(note, setup)
                continue
            where = (
                f"measure {read.number or index + 1}: {kind}fret {note.fret} on string "
                f"{note.string}"
            )
            try:
                midi = setup.midi(note.string, note.fret, note.half)
            except NoSuchFret:
                absent.append(f"{where} does not exist; another place for {note.pitch} is searched")
                note.string = note.fret = None
                continue
            if midi != note.pitch.midi:
                others.append(
                    f"{where} sounds {spell(midi, fifths)}, but {note.pitch} is written; another "
                    "place for that is searched"
                )
                note.string = note.fret = None
                note.half = False
    for kind_of, found_ones in ((kinds.FRET, absent), (kinds.PITCH, others)):
        if found_ones:
            more = f" (and {len(found_ones) - 1} more like it)" if len(found_ones) > 1 else ""
            problems.add(kind_of, found_ones[0] + more, severity=Severity.WARNING)


def _find_on_string(note: Heard, setup: Setup) -> None:
    """Give a note that names only its string the fret there; a string that does not have its
    pitch is forgotten, so that a place is searched."""
    places = dict(places_of(note.pitch.midi, setup))
    note.fret = places.get(note.string or 0)
    if note.fret is None:
        note.string = None


def _graces(
    measures: Sequence[ReadMeasure],
    with_frets: Sequence[Sequence[tuple[Fraction, list[Heard]]]],
    setup: Setup,
    problems: ProblemList,
) -> None:
    """Find strings and frets for grace notes; what has no note after it, or no fret, is left
    out."""
    lost: list[str] = []
    for index, (read, events) in enumerate(zip(measures, with_frets, strict=True)):
        struck = dict(events)
        kept = []
        by_onset: dict[Fraction, list[HeardGrace]] = {}
        for grace in read.graces:
            by_onset.setdefault(grace.onset, []).append(grace)
        for onset, before in by_onset.items():
            few = before[:_MOST_GRACES]
            placed = place_graces(few, struck[onset], setup) if onset in struck else []
            lost += [read.number or str(index + 1)] * (len(before) - len(placed))
            kept += placed
            led = {grace.heard.string: grace.leads for grace in placed if grace.leads}
            for note in struck.get(onset, ()):
                # What leads to the note is said by the grace note.
                note.link = None if led.get(note.string) is note.link else note.link
        read.graces = kept
    if lost:
        problems.add(
            kinds.GRACE,
            f"{measures_named(lost)}: {len(lost)} grace notes are left out: nothing is struck "
            "after them, no fret has them, two at once are on one string, or there are more than "
            f"{_MOST_GRACES} before a note",
            severity=Severity.NOTICE,
        )


def _over_bar(sounding: Mapping[int, SoundingPitch], length: Fraction) -> dict[int, bool]:
    """The pitches that may ring on in the next measure, and whether a tie leads there."""
    return {
        midi: any(h.ties for h in same.notes)
        for midi, same in sounding.items()
        if any(h.ties or h.onset + h.duration >= length for h in same.notes)
    }


def build_measures(
    with_frets: Sequence[Sequence[tuple[Fraction, list[Heard]]]],
    measures: Sequence[ReadMeasure],
) -> tuple[Measure, ...]:
    result = []
    number = system = 0
    current: str | None = None
    for index, (read, events) in enumerate(zip(measures, with_frets, strict=True)):
        length = read.length or read.meter.length
        # Only what opens a strain is one; elsewhere it would be read from text as a full measure.
        opens = not index or read.left is Bar.REPEAT_START or measures[index - 1].right in _CLOSING
        called = read.number == "0" or (not index and read.implicit)
        pickup = length < read.meter.length and called and opens
        number += 0 if pickup else 1
        system += bool(index and read.new_line)
        current = read.ending or current
        result.append(
            Measure(
                index=index,
                number=0 if pickup else number,
                length=length,
                events=_events(events, length, read.graces),
                rhythm=Rhythm(
                    confidence=1.0,
                    sure=True,
                    source=Source.WRITTEN,
                    reasons=("written in the MusicXML file",),
                ),
                chords=tuple(read.chords),
                left=read.left,
                right=read.right,
                ending=read.ending,
                ending_stop=read.ending_stop,
                in_ending=current,
                section=read.section,
                system=system,
                implicit=pickup or length != read.meter.length,
                times=read.times,
                jump=read.jump,
                fine=read.fine,
                segno=read.segno,
                to_coda=read.to_coda,
                coda=read.coda,
            )
        )
        if read.ending_stop:
            current = None
    if result and result[-1].right in (Bar.SINGLE, Bar.NONE, Bar.DOUBLE):
        result[-1] = replace(result[-1], right=Bar.FINAL)
    return tuple(result)


def _events(
    events: Sequence[tuple[Fraction, list[Heard]]],
    length: Fraction,
    graces: Sequence[HeardGrace] = (),
) -> tuple[Event, ...]:
    """Each event lasts to the next, or as long as something sounds: then silence follows."""
    found: list[Event] = []
    before: dict[Fraction, list[HeardGrace]] = {}
    for grace in graces:
        before.setdefault(grace.onset, []).append(grace)
    if not events or events[0][0] > 0:
        found.append(Event(Fraction(0), events[0][0] if events else length, ()))
    sounds_to = Fraction(0)
    for index, (onset, heard) in enumerate(events):
        following = events[index + 1][0] if index + 1 < len(events) else length
        sounds_to = max(sounds_to, *(onset + h.duration for h in heard))
        end = min(following, sounds_to)
        notes = tuple(_note(h, end - onset) for h in sorted(heard, key=lambda h: h.string or 0))
        sung = next((h.sung for h in heard if h.sung), {})
        brush = any(h.brush for h in heard)
        small = grace_groups(before.get(onset, ()))
        found.append(
            Event(
                onset=onset,
                duration=end - onset,
                notes=notes,
                brush=brush,
                down_stroke=any(h.down_stroke for h in heard),
                up_stroke=any(h.up_stroke for h in heard),
                grace=small,
                **fields_of_sung(sung),
            )
        )
        if end < following:
            found.append(Event(end, following - end, ()))
    return tuple(found)


def _note(heard: Heard, event: Fraction) -> Note:
    """A note of an event that lasts so long."""
    return Note(
        string=heard.string or 1,
        # Nothing is stopped where the head is an x: the 0 is there for readers that want a fret.
        fret=None if heard.muted and heard.fret == 0 else heard.fret,
        pitch=heard.pitch,
        place=Place(heard.line, 1),
        link=heard.link,
        finger=heard.finger,
        inferred_finger=heard.inferred_finger,
        muted=heard.muted,
        ghost=heard.ghost,
        harmonic=heard.harmonic,
        bend=heard.bend,
        vibrato=heard.vibrato,
        slide_from=heard.slide_from,
        slide_to=heard.slide_to,
        let_ring=heard.let_ring,
        left_finger=heard.left_finger,
        half=heard.half,
        marks=heard.marks,
        voice=heard.voice,
        lasts=None if heard.lasts == event else heard.lasts,
    )
