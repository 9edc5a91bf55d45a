"""Tuning up: each string, what differs from the usual tuning, and how to check by the frets."""

from __future__ import annotations

from itertools import pairwise

from rollstave import Exercise, Part, Pitch, Score, Words, settled, spell
from rollstave_teaching.measures import of_measures, struck, without_letters
from rollstave_teaching.prose import words_of
from rollstave_teaching.wording import capital, listed

_STEPS = {1: "a semitone", 2: "a tone", 3: "a tone and a half", 4: "two tones"}
# Common practice, no source.
CAUTION = (
    "Raising a string by more than a tone or two can break it: tune up slowly, or put on a lighter "
    "string."
)


def tune_up(score: Score) -> Part:
    """How to tune. The frets that give the next string's sound are arithmetic on the pitches."""
    setup = score.setup
    tuning, usual = setup.tuning, setup.instrument.default
    pairs = list(zip(usual.pitches, tuning.pitches, strict=True))
    changed = {n: (a, b) for n, (a, b) in enumerate(pairs, start=1) if a.midi != b.midi}
    named = f"{tuning.name}, " if tuning.name else ""
    notes = listed([str(p) for p in reversed(tuning.pitches)])
    first = capital(f"{named}{tuning.written}: from string {len(pairs)} to string 1, {notes}.")
    blocks: list[Words | Exercise] = [Words(first)]
    if changed:
        ways = [_way(n, a, b) for n, (a, b) in sorted(changed.items(), reverse=True)]
        blocks.append(Words(f"Compared with the usual tuning, {'; '.join(ways)}."))
        same = [str(n) for n in range(len(pairs), 0, -1) if n not in changed]
        if same:
            word = "String" if len(same) == 1 else "Strings"
            stay = "stays" if len(same) == 1 else "stay"
            blocks.append(Words(f"{word} {listed(same)} {stay} as usual."))
    else:
        blocks.append(Words("This is the usual tuning; no string changes."))
    if any(b.midi > a.midi for a, b in changed.values()):
        blocks.append(Words(CAUTION))
    if checks := _checks(score):
        blocks.append(Words(f"To check: {'; '.join(checks)}."))
    if capo := _capo(score):
        blocks.append(Words(capo))
    blocks += words_of(score, "tune-up")
    blocks.append(_open_strings(score))
    return Part(name="Tune up", blocks=tuple(blocks))


def _way(string: int, usual: Pitch, wanted: Pitch) -> str:
    size = abs(wanted.midi - usual.midi)
    steps = _STEPS.get(size, f"{size} semitones")
    way = "up" if wanted.midi > usual.midi else "down"
    return f"string {string} goes {way} {steps}, from {usual} to {wanted}"


def _checks(score: Score) -> list[str]:
    """At which fret a string sounds as the next one does open; the short string is compared with
    string 1."""
    setup = score.setup
    short = setup.instrument.short_string
    pitches = setup.tuning.pitches
    order = [n for n in range(len(pitches), 0, -1) if short is None or n != short.string]
    pairs = list(pairwise(order))
    if short is not None:
        pairs.append((1, short.string))
    found = []
    for lower, upper in pairs:
        fret = pitches[upper - 1].midi - pitches[lower - 1].midi
        if 0 < fret <= setup.instrument.frets:
            found.append(f"string {lower} at fret {fret} sounds as string {upper} does open")
        elif fret == 0:
            found.append(f"strings {lower} and {upper} sound alike open")
    return found


def _capo(score: Score) -> str:
    setup = score.setup
    short = setup.instrument.short_string
    words = []
    if setup.capo:
        words.append(f"the capo goes to fret {setup.capo}, and frets are counted from it")
    if short is not None and setup.short_raise:
        pitch = spell(setup.open_midi(short.string), score.key.fifths)
        words.append(f"string {short.string} is raised to {pitch}")
    return capital(listed(words)) + "." if words else ""


def _open_strings(score: Score) -> Exercise:
    """Every string by itself, a measure long, to tune by."""
    count = score.setup.instrument.strings
    measures = [
        struck(score, ((string,),), (0,) * count, number=number)
        for number, string in enumerate(range(count, 0, -1), start=1)
    ]

    return Exercise(
        name=f"Open strings, from string {count} to string 1",
        score=without_letters(settled(of_measures(score, measures))),
        per_line=count,
    )
