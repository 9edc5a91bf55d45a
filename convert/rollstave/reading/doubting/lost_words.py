"""Words that were taken for a heading and are kept nowhere: it is said which."""

from __future__ import annotations

import re
from functools import cache

from rollstave.patterns import rare
from rollstave.reading.ledger import Use
from rollstave.reading.state import ReadingState
from rollstave.reading.words.headings import begins_heading
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.headings import HEADINGS
from rollstave.vocabulary.spoken import FILLING
from rollstave.vocabulary.spoken_values import MODE_WORDS

_WORD = rare(r"[^\W\d_]{4,}")
_FEWEST = 2  # words that are lost
_SHARE = 4  # one in so many of a line
# What says which fact it is, and is no part of it.
_SAYING = frozenset(
    [
        "tuned",
        "tuning",
        "strings",
        "string",
        "standard",
        "open",
        "modal",
        "common",
        "time",
        "beat",
        "beats",
        "measure",
        "measures",
        "with",
        "capo",
        "fret",
        "minute",
        "goes",
        "speed",
        "quarter",
        "note",
        "notes",
        "from",
        "first",
        "second",
        "third",
        "fourth",
        "fifth",
        "sixth",
        "half",
        "bars",
        "banjo",
        "guitar",
        "ukulele",
        "mandolin",
        "dulcimer",
        "bass",
        "equals",
        "this",
        "tune",
        "song",
        "title",
        "name",
        "none",
        "played",
        "play",
        "lesson",
        "major",
        "minor",
        "eighth",
        "eighths",
        "sixteenth",
        "low",
        "high",
        "right",
        "left",
        "hand",
    ]
)


@cache
def _of_headings() -> frozenset[str]:
    """All words that headings are called by."""
    return frozenset(
        word for row in HEADINGS for word in re.findall(r"[a-z]{4,}", f"{row.words} {row.dashed}")
    )


def words_kept_nowhere(state: ReadingState) -> None:
    """Say which words of a line of headings are in no heading and in no text."""
    numbers = state.ledger.lines_with(Use.HEADING)
    if not numbers:
        return
    kept: set[str] = set()
    for tune in state.tunes:
        for text in (
            *(heading.text for heading in tune.headings),
            *(heading.text for heading, _ in tune.changes),
            *(note.text for note in tune.notes),
            *tune.section_names,
        ):
            kept.update(_WORD.findall(text.casefold()))
        for measure in tune.measures:
            kept.update(_WORD.findall((measure.section or "").casefold()))
            for change in measure.changes:
                kept.update(_WORD.findall(change.text.casefold()))
    for line in state.lines:
        if line.number not in numbers:
            continue
        words = _WORD.findall(line.text.casefold())
        lost = [w for w in words if w not in kept and w not in _SAYING]
        lost = [w for w in lost if w not in FILLING and w not in MODE_WORDS]
        if len(lost) >= _FEWEST:
            lost = [w for w in lost if w not in _of_headings() and not begins_heading(f"{w}:")]
        if len(lost) >= _FEWEST and _SHARE * len(lost) >= len(words):
            first = line.text.casefold().find(lost[0])
            state.problems.add(
                kinds.UNREAD,
                f"these words stand on a line of headings and are kept nowhere: {' '.join(lost)}; "
                "type them on a line of their own",
                line.place(max(0, first)),
            )
