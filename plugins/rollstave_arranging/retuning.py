"""The same pitches in another tuning."""

from __future__ import annotations

from msgspec.structs import replace

from rollstave import Pitch, Problem, Reworked, Score, Setup, Tuning, parse_tuning
from rollstave_arranging.drone import drone_changes, following
from rollstave_arranging.neck import EASY, reach_of
from rollstave_arranging.refretting import Refretted, refret, summed
from rollstave_arranging.returning import Origin, says
from rollstave_arranging.told import caution, change, refusal

_TRIALS = 3  # of the way back; what is said of one note may lead another elsewhere

Said = tuple[int, Pitch, tuple[int, ...]]  # number of a measure, pitch, strings in order


def retune(score: Score, words: str, origin: Origin | None = None) -> Reworked:
    """The tune at its pitches in the tuning of these words; ``origin`` is where it says that it
    came from. Raises TabError where there is no such tuning, or the tune cannot be played in it."""
    tuning = tuning_of(score, words)
    if tuning.pitches == score.setup.tuning.pitches:
        return Reworked(score=score, says="")
    setup = following(score, replace(score.setup, tuning=tuning), score.key)
    back = origin if origin is not None and origin.tuning == tuning.written else None
    made = refret(score, setup, origin=back)
    if not made.playable:
        nearest = _nearest(score)
        raise refusal(
            f"in {called(tuning)} {made.moved + made.lost} of {made.struck} notes would have to be "
            f"moved by an octave or left out; nearest comes {nearest}, or the tune in another key "
            f"(--key) first"
        )
    changes = [
        *drone_changes(score, made.score),
        *made.changes,
        *tuned_up(score.setup, setup),
        *wide_grips(score, made.score),
    ]
    told = change(f"{called(tuning)}: {summed(made)}")
    said = says(called(tuning), made.octaves, score.setup, _would_be_lost(score, made))
    return Reworked(score=made.score, says=said, changes=(told, *changes))


def _would_be_lost(score: Score, made: Refretted) -> list[Said]:
    """Where notes lay that the way back would look for elsewhere: the way back is tried. Said of
    all notes that have their pitch in a measure, in order."""
    there = sorted(made.trail, key=lambda step: (step.event, step.now))
    pitches = {
        n.pitch.midi: n.pitch for m in made.score.measures for e in m.events for n in e.notes
    }
    moved = frozenset((number, pitch.midi, octave) for number, pitch, octave in made.octaves)
    home = replace(made.score.setup, tuning=score.setup.tuning)
    setup = following(made.score, home, made.score.key)
    lay: dict[tuple[int, int], tuple[int, ...]] = {}
    for _ in range(_TRIALS):
        origin = Origin(tuning=score.setup.tuning.written, moved=moved, lay=lay)
        found = {(s.event, s.was): s.now for s in refret(made.score, setup, origin=origin).trail}
        wrong = {(s.measure, s.midi) for s in there if found.get((s.event, s.now)) != s.was}
        if wrong <= lay.keys():
            break
        for key in wrong:
            strings = tuple(s.was[0] for s in there if (s.measure, s.midi) == key)
            lay[key] = strings if len(set(strings)) > 1 else strings[:1]
    return [(number, pitches[midi], strings) for (number, midi), strings in sorted(lay.items())]


def tuning_of(score: Score, words: str) -> Tuning:
    """The tuning that words mean for the tune's instrument. Raises TabError."""
    instrument = score.setup.instrument
    tuning = parse_tuning(words, instrument)
    if tuning is None:
        usual = ", ".join(t.written for t in instrument.tunings[:4])
        raise refusal(
            f"{words!r} is no tuning of a {instrument.name}: write {instrument.strings} letters, "
            f"the lowest row of the tab first, such as {usual}, or a name from rollstave tunings"
        )
    if tuning.base and tuning.capo and tuning.capo == score.setup.capo:
        # As where a tab names both: open A with a capo at 2 is open G with that capo.
        return parse_tuning(tuning.base, instrument) or tuning
    return tuning


def called(tuning: Tuning) -> str:
    """A tuning as people say it: ``drop C tuning (gCGBD)``."""
    return f"{tuning.name} tuning ({tuning.written})" if tuning.name else tuning.written


def _nearest(score: Score) -> str:
    """The known tuning in which most notes keep their place, the tune's own left aside."""
    setup = score.setup
    others = [t for t in setup.instrument.tunings if t.pitches != setup.tuning.pitches]
    best = max(others, key=lambda t: _alike(score, t), default=setup.tuning)
    return called(best)


def _alike(score: Score, tuning: Tuning) -> int:
    """How many notes lie on strings that another tuning leaves as they are."""
    same = {
        string
        for string, (old, new) in enumerate(
            zip(score.setup.tuning.pitches, tuning.pitches, strict=True), start=1
        )
        if old.midi == new.midi
    }
    return sum(note.string in same for m in score.measures for e in m.events for note in e.notes)


def tuned_up(old: Setup, new: Setup) -> list[Problem]:
    """A caution for each string that is tuned up."""
    found = []
    pairs = zip(old.tuning.pitches, new.tuning.pitches, strict=True)
    for string, (before, after) in enumerate(pairs, start=1):
        up = after.midi - before.midi
        if up > 0:
            lighter = ", or use a lighter string" if up > 2 else ""
            found.append(
                caution(
                    f"string {string} is tuned up {up} semitone{'s' if up > 1 else ''} to {after}: "
                    f"tune slowly{lighter}"
                )
            )
    return found


def wide_grips(old: Score, new: Score) -> list[Problem]:
    """A caution for the widest stretch that was not there before, if one is wide."""
    worst, where, frets = _widest(new)
    if where is None or worst <= max(EASY, _widest(old)[0]):
        return []
    low, high = frets
    return [
        caution(
            f"{where}: frets {low} and {high} at once lie {worst:.0f} mm apart; if the stretch "
            "hurts, leave the lower note"
        )
    ]


def _widest(score: Score) -> tuple[float, str | None, tuple[int, int]]:
    best: tuple[float, str | None, tuple[int, int]] = (0.0, None, (0, 0))
    for measure in score.measures:
        for event in measure.events:
            frets = [n.fret for n in event.notes if n.fret]
            wide = reach_of(frets, score.setup.capo)
            if wide > best[0]:
                best = (wide, measure.called, (min(frets), max(frets)))
    return best
