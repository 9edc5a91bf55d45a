"""Staff and tab of a score that was edited: where they disagree, and which of them counts.

Both say the same notes; an arranger may have changed one of them alone. Nothing is guessed: the
caller says which leads, or the tab that the file was made from shows which was changed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from lxml import etree
from msgspec import Struct
from msgspec.structs import replace

from rollstave.musicxml_in.measures import ReadMeasure, read_measures
from rollstave.musicxml_in.notes import Heard
from rollstave.musicxml_in.taking import Taking
from rollstave.problems import ProblemList, Severity, TabError
from rollstave.score.aligned import Key, moved, origins, struck_in, transposed
from rollstave.score.records import Score
from rollstave.vocabulary import problems as kinds

_SAME_MUSIC = 0.5  # of the notes: with fewer in common, the staff is no staff of this tab


class Disagreement(Struct, frozen=True):
    """A time at which staff and tab of a measure have different notes: those of the one that the
    other has not."""

    measure: int
    onset: Fraction
    staff: tuple[Heard, ...]
    tab: tuple[Heard, ...]


def settle(measures: Sequence[ReadMeasure], taking: Taking, problems: ProblemList) -> None:
    """Give each measure the notes of the staff or of the tab where they disagree, and say so.
    Raises TabError, with both readings, where nothing says which of them counts."""
    found = disagreements(measures)
    if not found:
        return
    notes = sum(len(read.above) for read in measures)
    if sum(len(one.staff) for one in found) > (1 - _SAME_MUSIC) * notes and not taking.lead:
        problems.add(
            kinds.STAFF_AND_TAB,
            "the staff over the tab has other music; the tab is read",
            severity=Severity.NOTICE,
        )
        return
    before = _before(measures, taking.since) if taking.since is not None else {}
    by_staff: dict[int, set[Fraction]] = {}
    open_ones = []
    for one in found:
        read = measures[one.measure]
        lead = taking.lead if taking.lead in ("staff", "tab") else _changed(read, one, before)
        said = _in_words(read, one)
        if not lead:
            open_ones.append(said)
            continue
        message = f"{said}; the {lead} is taken"
        problems.add(kinds.STAFF_AND_TAB, message, severity=Severity.WARNING)
        if lead == "staff":
            by_staff.setdefault(one.measure, set()).add(one.onset)
    for index, onsets in by_staff.items():
        _take_staff(measures[index], onsets)
    if open_ones:
        for said in open_ones:
            problems.add(kinds.STAFF_AND_TAB, said)
        problems.add(
            kinds.STAFF_AND_TAB,
            "nothing is guessed: --lead staff or --lead tab says which counts, and --since TAB "
            "compares with the tab that the score was made from and takes what was changed",
        )
        raise TabError(problems.sorted())


def disagreements(measures: Sequence[ReadMeasure]) -> list[Disagreement]:
    """The times at which staff and tab have different notes, where a tab has a staff."""
    if not any(read.above for read in measures):
        return []
    found = []
    for index, read in enumerate(measures):
        apart = _sounding_otherwise(read)
        staff, tab = _struck(read.above, apart), _struck(read.heard, apart)
        if staff.keys() == tab.keys():
            continue
        only_staff, only_tab = sorted(staff.keys() - tab.keys()), sorted(tab.keys() - staff.keys())
        found += [
            Disagreement(
                measure=index,
                onset=onset,
                staff=tuple(staff[key] for key in only_staff if key[0] == onset),
                tab=tuple(tab[key] for key in only_tab if key[0] == onset),
            )
            for onset in sorted({onset for onset, _ in (*only_staff, *only_tab)})
        ]
    return found


def staff_of(measures: Sequence[ReadMeasure], part: etree._Element) -> bool:
    """Take a part as the staff over the tablature if it has the same music; True if it has."""
    if len(part.findall("measure")) != len(measures):
        return False
    others = read_measures(part, ProblemList())[0]
    pairs = list(zip(measures, others, strict=True))
    own = [(_struck(read.heard, set()), _struck(other.heard, set())) for read, other in pairs]
    common = sum(len(one.keys() & other.keys()) for one, other in own)
    if common < _SAME_MUSIC * sum(len(one) for one, _ in own) or not common:
        return False
    for read, other in pairs:
        read.above = other.heard
        read.heard += [replace(note, duration=Fraction(0)) for note in other.heard if note.sung]
    return True


def move(measures: Sequence[ReadMeasure], octaves: int) -> None:
    """Move all notes by octaves; they lose the places where they sounded otherwise."""
    for read in measures:
        for note in (*read.heard, *(grace.heard for grace in read.graces)):
            note.pitch = replace(note.pitch, octave=note.pitch.octave + octaves)
            note.string = note.fret = None
            note.half, note.places = False, ()


def _sounding_otherwise(read: ReadMeasure) -> set[Fraction]:
    """Onsets of harmonics and dead notes, which a staff may write as they are stopped."""
    return {h.onset for h in (*read.heard, *read.above) if h.harmonic or h.muted}


def _struck(heard: Sequence[Heard], apart: set[Fraction]) -> dict[Key, Heard]:
    return {
        (note.onset, note.pitch.midi): note
        for note in heard
        if note.duration and not note.tied and note.onset not in apart
    }


def _take_staff(read: ReadMeasure, onsets: set[Fraction]) -> None:
    """At some times, the notes of the staff; those that the tab has too keep what it says. The
    voices of the two may have other names, in one order."""
    names = [
        sorted({note.said_voice for note in heard if note.duration}, key=lambda n: (len(n), n))
        for heard in (read.above, read.heard)
    ]
    voices = dict(zip(*names, strict=False))
    tab = {(n.onset, n.pitch.midi): n for n in read.heard if n.duration}
    read.heard = [n for n in read.heard if not n.duration or n.onset not in onsets]
    for note in read.above:
        if note.onset in onsets and note.duration:
            own = tab.get((note.onset, note.pitch.midi))
            voice = voices.get(note.said_voice, names[1][0] if names[1] else "")
            read.heard.append(
                replace(note, said_voice=voice)
                if own is None
                else replace(own, duration=note.duration)
            )


def _before(measures: Sequence[ReadMeasure], since: Score) -> Mapping[int, frozenset[Key]]:
    """What each measure had in the score that the file was made from."""
    new = [frozenset(_struck(read.above, set())) for read in measures]
    old = [struck_in(measure) for measure in since.measures]
    steps = transposed(old, new)
    old = [moved(keys, steps) for keys in old]
    return {here: old[there] for here, there in origins(old, new).items()}


def _changed(read: ReadMeasure, one: Disagreement, before: Mapping[int, frozenset[Key]]) -> str:
    """``staff`` or ``tab``, whichever is not as it was; empty if both, or if that is not known."""
    if one.measure not in before:
        return ""
    was = {midi for onset, midi in before[one.measure] if onset == one.onset}

    def has(heard: Sequence[Heard]) -> set[int]:
        return {midi for onset, midi in _struck(heard, set()) if onset == one.onset}

    staff_is_new, tab_is_new = has(read.above) != was, has(read.heard) != was
    if staff_is_new and tab_is_new:
        return ""
    return "staff" if staff_is_new else "tab"


def _in_words(read: ReadMeasure, one: Disagreement) -> str:
    """Both readings."""
    staff = " and ".join(str(note.pitch) for note in one.staff)
    tab = " and ".join(f"{note.pitch}{_place(note)}" for note in one.tab)
    called = read.number or str(one.measure + 1)
    at = f"measure {called}, beat {beat_in_words(one.onset / read.meter.beat + 1)}"
    if staff and tab:
        return f"{at}: the staff has {staff}, the tab {tab}"
    return (
        f"{at}: the staff has {staff}, the tab does not"
        if staff
        else (f"{at}: the tab has {tab}, the staff does not")
    )


def beat_in_words(beat: Fraction) -> str:
    """``2``, ``2 and a half``, ``2 and 1/4``."""
    whole, part = divmod(beat, 1)
    if not part:
        return str(whole)
    return f"{whole} and {'a half' if part == Fraction(1, 2) else part}"


def _place(note: Heard) -> str:
    return "" if note.string is None else f" (string {note.string}, fret {note.fret})"
