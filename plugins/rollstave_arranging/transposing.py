"""A tune in another key: by a capo, by another tuning, by both, or fretted anew.

Where nobody says which, the four are costed and the cheapest is taken. The costs are ours; only
their order matters: what each measure asks of the left hand more than it did, the strings that are
turned, the capo's place on the neck, and, far more than these, notes that are moved or left out.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from functools import partial

from msgspec import Struct
from msgspec.structs import replace

from rollstave import (
    ChordName,
    Key,
    NoSuchFret,
    Problem,
    Reworked,
    Score,
    Setup,
    Tuning,
    moved_chord,
    parse_key,
    settled,
)
from rollstave_arranging.drone import drone_changes, following, tonic_of
from rollstave_arranging.neck import short_of
from rollstave_arranging.refretting import Refretted, refret, summed
from rollstave_arranging.retuning import called, tuned_up, wide_grips
from rollstave_arranging.stretches import by_stretch
from rollstave_arranging.told import change, refusal

WAYS = ("capo", "tuning", "fretting", "both")  # the last by another tuning and a capo
_HIGHEST_CAPO = 7
_CAPO, _CAPO_FRET, _HIGH_CAPO = 0.4, 0.1, 0.8  # the last for each fret above the fourth
_TURNED, _UP = 0.15, 0.1  # each string and semitone, and more where it is tuned up
_STOPPED, _TRAVEL, _MOVED, _LOST = 0.25, 0.35, 3.0, 6.0  # each in a measure
_ANEW = 0.15  # each note of a measure that has another place, and has to be learnt again
_BOTH_HIGHEST = 5  # the highest capo beside another tuning
_LETTERS = {
    True: ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"),
    False: ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"),
}


class Offer(Struct, frozen=True):
    """A way into the other key: its name among :data:`WAYS`, the score, its cost, and in words
    what it is and what is to be told of it."""

    way: str
    score: Score
    cost: float
    says: str
    told: tuple[Problem, ...] = ()


def transpose(score: Score, key: str, semitones: int | None, by: str) -> Reworked:
    """The tune in another key (``"A"``), or so many semitones higher, by one of :data:`WAYS` or
    the cheapest of them. Raises TabError where it cannot be."""
    if by and by not in WAYS:
        raise refusal(f"{by!r} is no way into another key: there are {', '.join(WAYS)}")
    if key and semitones is not None:
        raise refusal("say a key or a number of semitones, not both")
    if not key and semitones is None:
        raise refusal("say which key (--key A), or how many semitones (--semitones 2)")
    new = _key_of(score, key) if key else _key_up(score.key, semitones or 0)
    distance = (tonic_of(new) - tonic_of(score.key)) % 12
    if semitones == 0 or (semitones is None and not distance):
        return Reworked(score=score, says="")
    whys: dict[str, str] = {}
    offers = list(_offers(score, new, distance, semitones, whys))
    chosen = [offer for offer in offers if by in ("", offer.way)]
    if not chosen:
        nearest = f"; nearest comes {_listed(offers)}" if offers else ""
        why = whys.get(by) or "; ".join(whys.values())
        raise refusal(f"{new} cannot be had by {by or 'any way'}: {why}{nearest}")
    best = min(chosen, key=lambda offer: (offer.cost, WAYS.index(offer.way)))
    others = [offer for offer in offers if offer is not best]
    told = [change(f"{new} {best.says}, cost {best.cost:.1f}{_beside(others, whys)}")]
    return Reworked(score=best.score, says=f"in {new}, {best.says}", changes=(*told, *best.told))


def transpose_stretches(score: Score, key: str, semitones: int | None, by: str) -> Reworked:
    """The same for a tune that is tuned anew in its midst: every stretch as far, in the same way;
    of the ways the first that all can go, the nearest way up or down. Raises TabError."""
    if (by and by not in WAYS) or bool(key) == (semitones is not None):
        return transpose(score, key, semitones, by)  # which says why not
    if key:
        distance = (tonic_of(_key_of(score, key)) - tonic_of(score.key)) % 12
        steps = sorted((distance, distance - 12), key=abs)
    else:
        steps = [semitones or 0]
    works = [
        partial(transpose, key="", semitones=step, by=way)
        for step in steps
        for way in ((by,) if by else WAYS)
    ]
    return by_stretch(score, *works)


def _beside(others: list[Offer], whys: dict[str, str]) -> str:
    """The ways that were not taken, in words."""
    words = [f"{offer.says}, cost {offer.cost:.1f}" for offer in others]
    words += [f"not by {way}: {why}" for way, why in whys.items()]
    return f" (other ways: {'; '.join(words)})" if words else ""


def _listed(offers: list[Offer]) -> str:
    return " or ".join(offer.says for offer in sorted(offers, key=lambda offer: offer.cost))


def _key_of(score: Score, words: str) -> Key:
    """The key of these words; a letter alone keeps the mode that the tune has."""
    key = parse_key(words)
    if key is None:
        raise refusal(
            f"{words!r} is no key: write a letter with its sharp or flat, such as A or Bb"
        )
    if re.fullmatch(r"\s*[A-Ga-g]\s?(#|b|♯|♭|sharp|flat)?\s*", words):
        return _nearest_spelling(Key(key.tonic, score.key.mode))
    if key.mode != score.key.mode:
        raise refusal(
            f"the tune is in {score.key}, and moving it does not make it {key.mode}; nearest comes "
            f"--key {key.tonic}, which is {key.tonic} {score.key.mode}"
        )
    return key


def _moved(score: Score, key: Key, shift: int) -> Score:
    """The score in another key, and what it changes to later so many semitones higher, too."""
    measures = tuple(
        replace(m, change=replace(m.change, key=_key_up(m.change.key, shift)))
        if m.change is not None and m.change.key is not None
        else m
        for m in score.measures
    )
    return replace(score, key=key, measures=measures)


def _key_up(key: Key, semitones: int) -> Key:
    tonic = (tonic_of(key) + semitones) % 12
    choices = {names[tonic] for names in _LETTERS.values()}
    return min((Key(name, key.mode) for name in choices), key=lambda k: (abs(k.fifths), k.tonic))


def _nearest_spelling(key: Key) -> Key:
    """The key itself, or under its other name where it would have more than seven signs."""
    return key if abs(key.fifths) <= 7 else _key_up(key, 0)


# The ways --------------------------------------------------------------------------------------


def _offers(
    score: Score, key: Key, distance: int, semitones: int | None, whys: dict[str, str]
) -> Iterator[Offer]:
    shift = semitones if semitones is not None else (distance if distance <= 6 else distance - 12)
    yield from _by_capo(
        score, key, (shift,) if semitones is not None else (distance, distance - 12), whys
    )
    moved = _renamed(score, key, shift)
    yield from _by_tuning(score, moved, shift, whys)
    yield from _by_fretting(score, moved, shift, whys)
    yield from _by_both(score, moved, shift, whys)


def _by_capo(
    score: Score, key: Key, shifts: tuple[int, ...], whys: dict[str, str]
) -> Iterator[Offer]:
    """The frets stay, and the short string follows."""
    old = score.setup
    for shift in shifts:
        capo = old.capo + shift
        if not 0 <= capo <= _HIGHEST_CAPO or old.instrument.fret_semitones:
            continue
        raised = old.short_raise + shift if short_of(old) else 0
        setup = replace(old, capo=capo, short_raise=raised)
        try:
            new = _under_capo(score, key, setup, shift)
        except NoSuchFret as error:
            whys["capo"] = str(error)
            return
        says = f"by a capo at fret {capo}" if capo else "without a capo"
        cost = _capo_cost(capo)
        told = tuple(drone_changes(score, new))
        yield Offer(way="capo", score=new, cost=cost, says=says, told=told)
        return
    whys["capo"] = (
        "a chromatic neck is needed for one"
        if old.instrument.fret_semitones
        else f"it would lie at fret {old.capo + shifts[0]}, and {_HIGHEST_CAPO} is the highest"
    )


def _under_capo(score: Score, key: Key, setup: Setup, shift: int) -> Score:
    typed = any(not chord.inferred for m in score.measures for chord in m.chords)
    stays = typed and (score.chords_by_shape or not score.setup.capo)
    named = _moved(score, key, shift) if stays else _renamed(score, key, shift)
    by_shape = stays and setup.capo > 0
    return settled(replace(named, setup=setup, chords_by_shape=by_shape))


def _renamed(score: Score, key: Key, shift: int) -> Score:
    """The score with its chord names and its key moved, its notes as they are."""
    held = 7 * score.setup.capo if score.chords_by_shape else 0
    moved = _moved(score, key, shift)

    def named(chord: ChordName, fifths: int) -> ChordName:
        return moved_chord(chord, shift % 12, (fifths - held + 6) % 12 - 6 if held else fifths)

    measures = tuple(
        replace(measure, chords=tuple(named(c, key.fifths) for c in measure.chords))
        for measure, key in zip(moved.measures, moved.keys, strict=True)
    )
    return replace(moved, measures=measures)


def _by_fretting(old: Score, moved: Score, shift: int, whys: dict[str, str]) -> Iterator[Offer]:
    setup = following(old, old.setup, moved.key)
    made = refret(moved, setup, shift)
    if made.playable:
        yield _offer("fretting", old, made, "fretted anew", 0.0)
    else:
        whys["fretting"] = _too_much(made)


def _by_tuning(old: Score, moved: Score, shift: int, whys: dict[str, str]) -> Iterator[Offer]:
    """The known tuning in which most notes keep string and fret."""
    struck = [n for m in old.measures for e in m.events for n in e.notes]
    best: tuple[int, Tuning] | None = None
    for tuning in old.setup.instrument.tunings:
        if tuning.pitches == old.setup.tuning.pitches:
            continue
        same = {
            string
            for string, (was, now) in enumerate(
                zip(old.setup.tuning.pitches, tuning.pitches, strict=True), start=1
            )
            if now.midi == was.midi + shift
        }
        kept = sum(note.string in same for note in struck)
        if best is None or kept > best[0]:
            best = (kept, tuning)
    if best is None or 2 * best[0] < len(struck):
        whys["tuning"] = "no known tuning leaves half of the notes where they are"
        return
    setup = following(old, replace(old.setup, tuning=best[1]), moved.key)
    made = refret(moved, setup, shift)
    if not made.playable:
        whys["tuning"] = _too_much(made)
        return
    turned = _turning(old.setup, setup)
    offer = _offer("tuning", old, made, f"by {called(best[1])}", turned)
    yield replace(offer, told=(*offer.told, *tuned_up(old.setup, setup)))


def _turning(old: Setup, new: Setup) -> float:
    """What it costs to turn the strings."""
    ups = [
        now.midi - was.midi for was, now in zip(old.tuning.pitches, new.tuning.pitches, strict=True)
    ]
    return sum(_TURNED * abs(up) + _UP * max(0, up) for up in ups)


def _capo_cost(capo: int) -> float:
    return _CAPO + _CAPO_FRET * capo + _HIGH_CAPO * max(0, capo - 4) if capo else 0.0


def _by_both(old: Score, moved: Score, shift: int, whys: dict[str, str]) -> Iterator[Offer]:
    """The known tuning with a capo in which the notes lie most easily, as far as can be told from
    each by itself."""
    if old.setup.instrument.fret_semitones or old.chords_by_shape:
        whys["both"] = (
            "the chord names are those of shapes behind the capo that there is"
            if old.chords_by_shape
            else "a chromatic neck is needed for a capo"
        )
        return
    setups = [
        replace(old.setup, tuning=tuning, capo=capo, short_raise=capo if short_of(old.setup) else 0)
        for tuning in old.setup.instrument.tunings
        if tuning.pitches != old.setup.tuning.pitches and not tuning.capo
        for capo in range(_BOTH_HIGHEST + 1)
        if capo != old.setup.capo
    ]
    if not setups:
        whys["both"] = "no other tuning of it is known"
        return
    lying = Counter(
        (n.string, n.fret or 0, n.pitch.midi + shift)
        for m in old.measures
        for e in m.events
        for n in e.notes
        if n.string != short_of(old.setup)
    )
    measures = max(1, len(old.measures))
    best = min(
        setups,
        key=lambda setup: (
            _lying(lying, setup) / measures + _turning(old.setup, setup) + _capo_cost(setup.capo)
        ),
    )
    setup = following(old, best, moved.key)
    made = refret(moved, setup, shift)
    if not made.playable:
        whys["both"] = _too_much(made)
        return
    capo = f"and a capo at fret {setup.capo}" if setup.capo else "without the capo"
    more = _turning(old.setup, setup) + _capo_cost(setup.capo)
    offer = _offer("both", old, made, f"by {called(setup.tuning)} {capo}", more)
    yield replace(offer, told=(*offer.told, *tuned_up(old.setup, setup)))


def _lying(lying: Counter[tuple[int, int, int]], setup: Setup) -> float:
    """What the places of notes, each by itself, ask for: string and fret as they are, or the
    lowest fret that has the pitch."""
    short = short_of(setup)
    opens = {
        string: setup.open_midi(string)
        for string in range(1, setup.instrument.strings + 1)
        if string != short
    }
    cost = 0.0
    for (string, fret, midi), count in lying.items():
        if opens[string] + fret == midi:
            cost += count * _STOPPED * bool(fret)
            continue
        frets = [midi - open_ for open_ in opens.values() if midi >= open_]
        each = _ANEW + (_STOPPED * bool(min(frets)) if frets else _MOVED)
        cost += count * each
    return cost


def _offer(way: str, old: Score, made: Refretted, says: str, more: float) -> Offer:
    measures = max(1, len(old.measures))
    asked = max(0.0, _asked(made.score) - _asked(old))
    anew = made.struck - made.kept
    harm = (_ANEW * anew + _MOVED * made.moved + _LOST * made.lost) / measures
    told = (
        change(f"{says}: {summed(made)}"),
        *drone_changes(old, made.score),
        *made.changes,
        *wide_grips(old, made.score),
    )
    return Offer(way=way, score=made.score, cost=asked + harm + more, says=says, told=told)


def _asked(score: Score) -> float:
    """What a measure asks of the left hand: strings stopped, and frets travelled."""
    stopped = travelled = place = 0
    for measure in score.measures:
        for event in measure.events:
            frets = [note.fret for note in event.notes if note.fret]
            stopped += len(frets)
            if frets:
                low = min(frets)
                travelled += abs(low - place) if place and not place <= low <= place + 3 else 0
                place = low if not place or not place <= low <= place + 3 else place
    return (_STOPPED * stopped + _TRAVEL * travelled) / max(1, len(score.measures))


def _too_much(made: Refretted) -> str:
    return f"{made.moved + made.lost} of {made.struck} notes would be moved or left out"
