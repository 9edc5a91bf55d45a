"""What ``rollstave drill`` is asked for: chords or rolls, and with what."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from pathlib import Path

from rollstave import (
    Handout,
    Instrument,
    Meter,
    Score,
    Setup,
    known_instruments,
    parse_tuning,
    read,
)
from rollstave_teaching.drill_chords import asked, drill_chords
from rollstave_teaching.drill_rolls import drill_rolls, drill_rolls_of
from rollstave_teaching.roll_words import Roll, refusal, time_and_roll
from rollstave_teaching.strums import Strum, time_and_strum
from rollstave_teaching.wording import in_words, listed

_WHAT = ("chords", "rolls")
_USE = "write: drill chords C F G, or drill rolls"


def drill_of(
    words: Sequence[str],
    tuning: str = "",
    roll: str = "",
    time: str = "",
    up_to: int = 12,
    of: str = "",
    instrument: str = "",
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
        setup = setup_of(tuning, instrument)
        if setup.instrument.short_string is None:
            name = setup.instrument.name
            raise refusal(f"rolls are drilled on a banjo with a short string, not on a {name}")
        meter, which = time_and_roll(time, roll)
        return drill_rolls(setup, meter, which if roll else None)
    if of:
        raise refusal("--of goes with drill rolls; the chords of a tune are drilled by a lesson")
    setup = setup_of(tuning, instrument)
    if setup.instrument.short_string is None:
        hand: tuple[Meter, Roll | Strum] = time_and_strum(time, roll, setup.instrument)
    else:
        hand = time_and_roll(time, roll)
    return drill_chords(asked(names, setup, hand, up_to))


# Which instrument --------------------------------------------------------------------------------


def setup_of(tuning: str, instrument: str) -> Setup:
    """The instrument and the tuning that are meant. A tuning alone is one of the five-string banjo
    where it can be, else of the first instrument that has it in its table; neither is the banjo in
    its usual tuning. Raises TabError, with what is known."""
    if instrument:
        return _tuned(_instrument(instrument), tuning)
    played = [i for i in known_instruments() if _has_chords(i)]
    banjo = next(i for i in played if i.short_string is not None)
    if not tuning or parse_tuning(tuning, banjo) is not None:
        return _tuned(banjo, tuning)
    for other in sorted(played, key=lambda i: i.rank):
        found = parse_tuning(tuning, other)
        if found is not None and found in other.tunings:
            return Setup(instrument=other, tuning=found)
    return _tuned(banjo, tuning)


def _tuned(instrument: Instrument, words: str) -> Setup:
    if not words:
        return Setup(instrument=instrument, tuning=instrument.default)
    tuning = parse_tuning(words, instrument)
    if tuning is None:
        known = ", ".join(t.written for t in instrument.tunings)
        usual = instrument.default.written
        count = in_words(instrument.strings)
        raise refusal(
            f"--tuning {words}: write {count} letters, string {instrument.strings} first, as "
            f"{usual}, or a name; those that are known are {known}"
        )
    return Setup(instrument=instrument, tuning=tuning)


def _instrument(words: str) -> Instrument:
    wanted = " ".join(words.lower().replace("-", " ").split())
    names = {
        name.replace("-", " "): one
        for one in known_instruments()
        for name in (one.name, *one.words)
    }
    found = names.get(wanted)
    if found is None:
        meant = get_close_matches(wanted, names, n=1)
        known = listed([i.name for i in known_instruments() if _has_chords(i)])
        said = f"did you mean {names[meant[0]].name}?" if meant else f"there are {known}"
        raise refusal(f"--instrument {words}: {said}")
    if not _has_chords(found):
        raise refusal(f"--instrument {words}: shapes of chords are not known on a {found.name}")
    return found


def _has_chords(instrument: Instrument) -> bool:
    """True where chords are held, and a shape can go from fret to fret: not on a bass, and not
    where frets are no semitones."""
    return instrument.clef[0] != "F" and not instrument.fret_semitones


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
