"""Which tuning a tab is in, where neither a heading nor the labels say it.

Two kinds of evidence, in this order: a tuning's name or letters in the title or the words of the
tune; then the notes, held against the chord names over them or, without chord names, against the
scale of the declared key. The weights are our own; :data:`ENOUGH` says when they are believed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct

from rollstave.deciding.chords import chord_name, chord_tones
from rollstave.grid.typed import GridTune, LineKind, Stroke
from rollstave.instruments.instrument import Instrument, Tuning
from rollstave.instruments.setup import NoSuchFret, Setup
from rollstave.instruments.tunings import letters_in
from rollstave.pitch import Key, parse_key
from rollstave.reading.saying.judge import denied

ENOUGH = 0.8  # the least confidence that overrules the usual tuning
_IN, _OUT = math.log(0.85), math.log(0.15)  # a note inside and outside its chord or scale
_SHORT_STRING = 0.2  # weight of the drone, which sounds against every chord
_SCALE = 0.5  # weight of the scale against that of chords
_USUAL = 1.5  # head start of the instrument's usual tuning, in the same units
_BY_CAPO = 2.0  # handicap of a tuning that is mostly made, and then typed, with a capo
_MOST = 60.0  # more notes than this make nobody surer
_CLOSE = 0.05
_MAJOR = (0, 2, 4, 5, 7, 9, 11)


class Guess(Struct, frozen=True):
    """A tuning, how sure it is (a probability), why, and what else was close."""

    tuning: Tuning
    confidence: float
    reason: str
    close: tuple[Tuning, ...] = ()


def guess_tuning(grid: GridTune, instrument: Instrument) -> Guess:
    """The most likely tuning of a tune; the usual one where nothing speaks for another."""
    if found := _in_words(grid, instrument):
        return found
    chords = _under_chords(grid)
    key = next((parse_key(h.text) for h in grid.headings if h.key == "key"), None)
    if not chords and key is None:
        return Guess(instrument.default, 0.0, "the usual tuning")
    scores = []
    for tuning in instrument.tunings:
        setup = Setup(instrument, tuning)
        if chords:
            score, inside, total = _fit(chords, setup)
        else:
            assert key is not None
            score, inside, total = _fit([(s, _scale(key)) for s in _strokes(grid)], setup)
            score *= _SCALE
        score += _USUAL if tuning is instrument.default else 0.0
        score -= _BY_CAPO if tuning.base is not None else 0.0
        scores.append((score, inside, total, tuning))
    short = instrument.short_string.string if instrument.short_string else 0
    return _best(scores, "chord names" if chords else f"scale of {key}", short)


def _long_strings(tuning: Tuning, short: int) -> list[int]:
    return [p.midi for string, p in enumerate(tuning.pitches, start=1) if string != short]


def _best(scores: Sequence[tuple[float, int, int, Tuning]], what: str, short: int) -> Guess:
    top = max(score for score, _, _, _ in scores)
    weights = [math.exp(score - top) for score, _, _, _ in scores]
    whole = sum(weights)
    ranked = sorted(zip(weights, scores, strict=True), key=lambda item: -item[0])
    weight, (_, inside, total, tuning) = ranked[0]
    close = tuple(s[3] for w, s in ranked[1:3] if w / whole >= _CLOSE)
    # How the drone is tuned can hardly be told: the long strings decide how sure it is.
    weight = sum(w for w, s in ranked if _long_strings(s[3], short) == _long_strings(tuning, short))
    reason = f"{inside} of {total} notes belong to the {what}"
    return Guess(tuning=tuning, confidence=weight / whole, reason=reason, close=close)


def _in_words(grid: GridTune, instrument: Instrument) -> Guess | None:
    """A tuning named in the title or in the words; its letters need the small first one."""
    texts = [h.text for h in grid.headings if h.key in ("title", "style", "source")]
    texts += [note.text for note in grid.notes]
    for text in texts[:40]:
        low = text.lower()
        for tuning in instrument.tunings:
            for name in sorted(tuning.names, key=len, reverse=True):
                # "G" or "modal" alone may be a key or a mood; "sawmill tuning" is none.
                named = rf"\b{re.escape(name.lower())}\b" + ("" if " " in name else r"\s+tuning\b")
                match = re.search(named, low)
                if match and not denied(text, "tuning", match.start(), match.end()):
                    return Guess(tuning, 0.95, f"{name!r} is named in the words: {text[:60]!r}")
        for word in re.findall(r"\b[a-g]#?[A-G][A-G#b]{3,8}(?![A-Za-z])", text):
            letters = letters_in(word)
            for tuning in instrument.tunings:
                if letters == [(p.step, p.alter) for p in reversed(tuning.pitches)]:
                    return Guess(tuning, 0.98, f"{word!r} stands in the words: {text[:60]!r}")
    return None


def _strokes(grid: GridTune) -> list[Stroke]:
    return [s for m in grid.measures for c in m.columns for s in c.strokes if not s.muted]


def _under_chords(grid: GridTune) -> list[tuple[Stroke, frozenset[int]]]:
    """Each stroke with the tones of the chord name that holds where it is struck."""
    found: list[tuple[Stroke, frozenset[int]]] = []
    tones: frozenset[int] | None = None
    for measure in grid.measures:
        names = sorted(measure.attached(LineKind.CHORDS), key=lambda a: a.position)
        if measure.section is not None and not names:
            tones = None
        at = 0
        for column in measure.columns:
            while at < len(names) and names[at].position <= column.position + 1:
                tones = chord_tones(chord_name(names[at].text, Fraction(0)))
                at += 1
            if tones:
                found.extend((s, tones) for s in column.strokes if not s.muted)
    return found


def _scale(key: Key) -> frozenset[int]:
    return frozenset((7 * key.fifths + step) % 12 for step in _MAJOR)


def _fit(notes: Sequence[tuple[Stroke, frozenset[int]]], setup: Setup) -> tuple[float, int, int]:
    """How well notes belong to their chords or scale: a sum of logarithms of at most ``_MOST``
    notes' weight, how many belong, and of how many."""
    short = setup.instrument.short_string
    total = weights = 0.0
    inside = 0
    for stroke, tones in notes:
        try:
            midi = setup.midi(stroke.string, stroke.fret or 0, stroke.half)
        except NoSuchFret:
            continue
        belongs = midi % 12 in tones
        inside += belongs
        weight = _SHORT_STRING if short and short.string == stroke.string else 1.0
        weights += weight
        total += weight * (_IN if belongs else _OUT)
    return total * min(1.0, _MOST / max(weights, 1.0)), inside, len(notes)
