"""The time that words tell which say how long every note is: ``each number is an eighth note``.

As many notes as most measures have, or the steps of the columns between the bars, make a measure;
where the two say different things, people are asked.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from fractions import Fraction
from functools import cache
from itertools import pairwise

from rollstave.grid.typed import GridMeasure, Heading
from rollstave.patterns import fold
from rollstave.problems import Place, Severity
from rollstave.reading.state import ReadingState, TuneSoFar
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.even_notes import EVEN_CUES, EVEN_NOTES, NOT_ALL
from rollstave.vocabulary.spoken_values import NOTE_WORDS

TIMES = {  # by the quarter notes of a measure, where nothing else tells one of two
    Fraction(3, 2): "3/8",
    Fraction(2): "2/4",
    Fraction(3): "3/4",
    Fraction(4): "4/4",
    Fraction(5): "5/4",
    Fraction(9, 2): "9/8",
    Fraction(6): "12/8",
}
_EIGHTH = Fraction(1, 2)
LEADS = 3  # columns beside a bar that may belong to no note, and one more
_MOST = Fraction(3, 5)  # share of the measures that have as many notes


def length_told(text: str) -> tuple[Fraction, int] | None:
    """The length of every note in quarter notes, and where it is said; None where it is not."""
    low = fold(text)
    if len(low) != len(text) or not any(cue in low for cue in EVEN_CUES):
        return None
    for pattern in _patterns():
        match = pattern.search(low)
        if match is not None and not _not_all().search(low[: match.start()]):
            return _length(match["note"]), match.start()
    return None


@cache
def _patterns() -> tuple[re.Pattern[str], ...]:
    return tuple(re.compile(pattern) for pattern in EVEN_NOTES)


@cache
def _not_all() -> re.Pattern[str]:
    return re.compile(NOT_ALL)


def _length(word: str) -> Fraction:
    if word.startswith("half "):  # a beat
        return _EIGHTH
    if word.startswith("1/"):
        return Fraction(word) * 4
    return Fraction(4, NOTE_WORDS[word]) if word in NOTE_WORDS else Fraction(1)


def take_even_notes(
    state: ReadingState, tune: TuneSoFar, words: Iterable[tuple[str, Callable[[int], Place]]]
) -> None:
    """Take the time that measures have where words, with the places of their characters, say how
    long every note is."""
    for text, place in words if not tune.has_heading("time") else ():
        if told := length_told(text):
            _take(state, tune, told[0], place(told[1]))
            return


def _take(state: ReadingState, tune: TuneSoFar, length: Fraction, place: Place) -> None:
    counted = TIMES.get(_most_notes(tune.measures) * length)
    spaced = {t for steps in _steps(tune.measures) if (t := TIMES.get(steps * length))}
    two_ways = length == _EIGHTH and counted == "3/4"  # six eighths may be two times three
    if counted is not None and counted in spaced and not two_ways:
        tune.headings.append(Heading("time", counted, place))
        state.problems.add(
            kinds.IN_WORDS,
            f"the time {counted} is told by what these words say of every note and the notes of a "
            "measure; if that is wrong, add a line with the right one that begins: Time:",
            place,
        )
        return
    time = "6/8" if two_ways else counted or min(spaced, default="4/4")
    tune.asked.append(Heading("time", time, place))
    state.problems.add(
        kinds.IN_WORDS,
        "these words may tell how long every note is, and the measures do not show of which time "
        f"they are then; name it in a line such as: Time: {time}",
        place,
        Severity.WARNING,
    )


def _most_notes(measures: Sequence[GridMeasure]) -> int:
    """How many columns of notes most measures have; 0 if no number is that of most."""
    numbers = Counter(len(measure.columns) for measure in measures)
    number, times = numbers.most_common(1)[0]
    return number if times >= _MOST * len(measures) else 0


def _steps(measures: Sequence[GridMeasure]) -> Iterator[int]:
    """How many steps from note to note the usual width of a measure may hold."""
    gaps = Counter(
        b.position - a.position for m in measures for a, b in pairwise(m.columns)
    ).most_common(1)
    widths = Counter(measure.width for measure in measures).most_common(1)
    if not gaps or not widths or gaps[0][0] <= 0:
        return
    gap, width = gaps[0][0], widths[0][0]
    for lead in range(LEADS):
        if (width - lead) % gap == 0:
            yield (width - lead) // gap
