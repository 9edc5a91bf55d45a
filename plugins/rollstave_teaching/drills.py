"""What ``rollstave drill`` is asked for: chords or rolls, and with what."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from pathlib import Path

from rollstave import Handout, Score, Setup, known_instruments, parse_tuning, read
from rollstave_teaching.drill_chords import asked, drill_chords
from rollstave_teaching.drill_rolls import drill_rolls, drill_rolls_of
from rollstave_teaching.roll_words import refusal, time_and_roll

_WHAT = ("chords", "rolls")
_USE = "write: drill chords C F G, or drill rolls"


def drill_of(
    words: Sequence[str],
    tuning: str = "gDGBD",
    roll: str = "",
    time: str = "",
    up_to: int = 12,
    of: str = "",
) -> Handout:
    """A sheet of exercises. Raises rollstave.TabError for what there is none of."""
    what, *names = words or ("",)
    kind = what.lower()
    if kind not in _WHAT:
        meant = get_close_matches(kind, _WHAT, n=1)
        said = f"; did you mean {meant[0]}?" if meant else f": {_USE}"
        raise refusal(f"there is no drill of {what!r}{said}")
    if kind == "rolls":
        if names:
            raise refusal(f"drill rolls takes no {names[0]!r}; --roll says which, --of a tune")
        if of:
            return drill_rolls_of(_tune(of))
        setup = _setup(tuning)
        meter, which = time_and_roll(time, roll)
        return drill_rolls(setup, meter, which if roll else None)
    if of:
        raise refusal("--of goes with drill rolls; the chords of a tune are drilled by a lesson")
    return drill_chords(asked(names, _setup(tuning), time_and_roll(time, roll), up_to))


def _setup(words: str) -> Setup:
    banjo = next(i for i in known_instruments() if i.short_string is not None)
    tuning = parse_tuning(words, banjo)
    if tuning is None:
        known = ", ".join(t.written for t in banjo.tunings)
        raise refusal(
            f"--tuning {words}: write five letters, string 5 first, as gDGBD, or a name; those "
            f"that are known are {known}"
        )
    return Setup(instrument=banjo, tuning=tuning)


def _tune(file: str) -> Score:
    path = Path(file)
    try:
        tunes = read(path)
    except OSError as error:
        raise refusal(f"--of {file}: {error.strerror or error}") from error
    if len(tunes) > 1:
        titles = ", ".join(t.score.title or "without a title" for t in tunes)
        raise refusal(f"--of {file}: it has several tunes ({titles}); put one into a file")
    return tunes[0].score
