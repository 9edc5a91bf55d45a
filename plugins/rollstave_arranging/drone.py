"""The short string as drone: it belongs to the key, or is raised or let down until it does."""

from __future__ import annotations

from msgspec.structs import replace

from rollstave import Key, NoSuchFret, Problem, Score, Setup
from rollstave_arranging.neck import short_of
from rollstave_arranging.told import caution, change, many

_TURNS = (1, -1, 2, -2, 3)  # semitones that a short string is set higher or lower for a key; ours


def tonic_of(key: Key) -> int:
    """The pitch class of a key's tonic."""
    return (7 * Key(key.tonic).fifths) % 12


def fits(midi: int, key: Key) -> bool:
    """True for a drone that goes with a key: its tonic, its fifth, or the third of its chord."""
    minor = key.mode in ("minor", "aeolian", "dorian", "phrygian", "locrian")
    return (midi - tonic_of(key)) % 12 in (0, 7, 3 if minor else 4)


def has_drone(score: Score) -> bool:
    """True where the short string is struck open."""
    short = short_of(score.setup)
    return any(
        n.string == short and n.fret == 0 for m in score.measures for e in m.events for n in e.notes
    )


def following(score: Score, setup: Setup, key: Key) -> Setup:
    """The setup with its short string raised or let down, where it would sound against the key: by
    as little as makes it the tonic or the fifth, or else the third, and no further than is safe."""
    short = short_of(setup)
    if short is None or not has_drone(score):
        return setup
    now = setup.open_midi(short)
    if now == score.setup.open_midi(short) and key == score.key:
        return setup
    if fits(now, key):
        return setup
    best = [t for t in _TURNS if (now + t - tonic_of(key)) % 12 in (0, 7)]
    third = [t for t in _TURNS if fits(now + t, key)]
    for turn in (*best, *third):
        total = setup.short_raise + turn
        by = "peg" if total < 0 else setup.short_raised_by
        turned = replace(setup, short_raise=total, short_raised_by=by)
        if _has_all(score, turned):
            return turned
    return setup


def _has_all(score: Score, setup: Setup) -> bool:
    """True if the short string still has every fret that the tune stops on it."""
    short = short_of(setup)
    try:
        for measure in score.measures:
            for event in measure.events:
                for note in event.notes:
                    if note.string == short and note.fret:
                        setup.midi(note.string, note.fret, note.half)
    except NoSuchFret:
        return False
    return True


def drone_changes(old: Score, new: Score) -> list[Problem]:
    """What became of the drone: its pitch, and how the string is raised for it."""
    short = short_of(new.setup)
    if short is None or not has_drone(new):
        return []
    before, after = old.setup.open_midi(short), new.setup.open_midi(short)
    if before == after and (fits(after, new.key) or old.key == new.key):
        return []
    pitch = next(
        n.pitch
        for m in new.measures
        for e in m.events
        for n in e.notes
        if n.string == short and n.fret == 0
    )
    found: list[Problem] = []
    if before != after:
        found.append(change(f"string {short}, the drone, now sounds {pitch} wherever it is open"))
    more = new.setup.short_raise - new.setup.capo
    if new.setup.short_raise < 0 and before != after:
        found.append(
            change(f"string {short} is let down {many(-new.setup.short_raise, 'semitone')}")
        )
    elif more > 0 and before != after:
        by = many(new.setup.short_raise, "semitone")
        words = f"string {short} is raised {by} to {pitch}: use a spike or a capo of its own"
        found.append(caution(words))
    if not fits(after, new.key):
        found.append(
            caution(f"the drone {pitch} does not go with {new.key}; leave it where it jars")
        )
    return found
