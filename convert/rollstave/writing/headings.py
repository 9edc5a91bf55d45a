"""The headings of a score as they are typed, and as they stand in the head of a sheet or a page."""

from __future__ import annotations

import re
from collections.abc import Callable

from rollstave.deciding.tempo import tempo_mark, value_name
from rollstave.instruments.setup import Setup
from rollstave.patterns import rare
from rollstave.pitch import spell
from rollstave.score.holding import with_what_holds
from rollstave.score.records import Measure, Score
from rollstave.vocabulary.headings import HEADINGS, ONLY_WORDS, HeadingRow, Stands
from rollstave.writing.voicing import voices_heading


def typed_headings(score: Score) -> list[tuple[str, str]]:
    """What stands before the colon and after it, for each heading that has something to say."""
    said = dict(score.said)
    typed = (
        (row.name, said.get(row.key, "") if row.only_words else TYPED[row.key](score))
        for row in HEADINGS
    )
    return [(name, words) for name, words in typed if words]


def typed_changes(score: Score, measure: Measure) -> list[tuple[str, str]]:
    """What stands before the colon and after it, of what is different from a measure on."""
    change = measure.change
    if change is None:
        return []
    # A score that begins with what is changed says it as a whole tune does.
    begun = with_what_holds(score, measure.index)
    said = {}
    if change.setup is not None:
        said = _set_up_anew(begun, score.setups[measure.index - 1])
    for key, new in (("key", change.key), ("time", change.meter), ("tempo", change.tempo)):
        if new is not None:
            said[key] = TYPED[key](begun)
    return [(row.name, said[row.key]) for row in HEADINGS if said.get(row.key)]


def _set_up_anew(score: Score, before: Setup) -> dict[str, str]:
    """The headings of a setup that is not the one before. The short string goes with the capo where
    nothing is said of it."""
    setup = score.setup
    said = {}
    if setup.tuning != before.tuning:
        said["tuning"] = setup.tuning.written
    if setup.capo != before.capo:
        said["capo"] = str(setup.capo or "none")
    if setup.instrument.short_string is not None:
        usual = f"raised by {setup.capo}" if setup.capo else "not raised"
        said["fifth string"] = short_string_words(score) or ("" if said else usual)
    return said


def said_in(score: Score) -> list[tuple[HeadingRow, str]]:
    """The rows of the headings that are only words and that say something, and what they say."""
    said = dict(score.said)
    return [(row, said[row.key]) for row in ONLY_WORDS if row.key in said]


def head_lines(score: Score, stands: Stands) -> tuple[str, ...]:
    """The headings that are only words, as the head of a sheet has them on one of its sides."""
    return tuple(row.on_the_sheet(words) for row, words in said_in(score) if row.stands is stands)


def _instrument(score: Score) -> str:
    """The instrument, unless it is the one that is meant where nobody says any."""
    instrument = score.setup.instrument
    return "" if instrument.short_string else instrument.name


def _capo(score: Score) -> str:
    """The fret of the capo. Where there is none, words that speak of one are no reason to read it
    from them."""
    spoken_of = any("capo" in words.lower() for words in score.notes)
    return str(score.setup.capo or ("none" if spoken_of else ""))


def _time(score: Score) -> str:
    names = {"cut": "cut time", "common": "common time"}
    return names.get(score.meter.symbol, str(score.meter))


def _tempo(score: Score) -> str:
    """Beats a minute, as the reader counts them, or those of another note value where beats are
    no whole number; the nearest whole number where none is."""
    if score.tempo is None:
        return ""
    unit, number = tempo_mark(score.tempo, score.meter)
    said = "" if unit == score.meter.beat else f"{value_name(unit)} = "
    return f"{said}{round(number)}"


_SET = rare(r"rais|tun|capo|spike|peg|lower|\bup\b|\bdown\b", re.IGNORECASE)  # how it is set


def short_string_words(score: Score) -> str:
    """How the short string is set, where it is not as the capo alone would have it."""
    setup = score.setup
    short = setup.instrument.short_string
    if short is None:
        return ""
    usual = setup.short_raise == setup.capo and setup.short_raised_by == "capo"
    spoken_of = any("string" in words and _SET.search(words) for words in score.notes)
    if usual and setup.short_numbering == "neck" and not spoken_of:
        return ""
    words = []
    if setup.short_raise < 0:
        words.append(f"tuned to {spell(setup.open_midi(short.string), 0).letter}")
    elif setup.short_raised_by == "peg":
        words.append(f"tuned up {setup.short_raise}")
    else:
        words.append(f"raised by {setup.short_raise}" if setup.short_raise else "not raised")
    if setup.short_numbering == "peg":
        words.append("counted from its own peg")
    return ", ".join(words)


# How a heading is typed that means more than its words: its key, and what stands after the colon,
# or nothing where it is left out.
TYPED: dict[str, Callable[[Score], str]] = {
    "title": lambda score: score.title,
    "instrument": _instrument,
    "tuning": lambda score: score.setup.tuning.written,
    "capo": _capo,
    "fifth string": short_string_words,
    "key": lambda score: str(score.key),
    "time": _time,
    "tempo": _tempo,
    "voices": voices_heading,
}
