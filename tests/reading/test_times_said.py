"""What is said of words that have measures played several times: where they stand, in words that
are right whether or not the tune has a pickup (which has no number; common practice, no source)."""

from __future__ import annotations

import rollstave

ROWS = "d|{}|\nB|{}|\nG|{}|\nD|{}|\ng|{}|\n"
FULL, EMPTY = "-0-1-0-1-0-1-0-1", "-" * 16


def test_measures_that_are_played_twice_are_named_by_their_line() -> None:
    short = ROWS.format("-0-1", *["-" * 4] * 4)
    long = ROWS.format(f"{FULL}|{FULL}", *[f"{EMPTY}|{EMPTY}"] * 4)
    text = f"Title: Tide\nTime: 4/4\n\n{short}\n[A part]\n{long}play twice\n"
    (tune,) = rollstave.read(text)
    (said,) = [p.message for p in tune.problems if p.code == "times"]
    line = 1 + text.split("\n").index(long.split("\n")[0])
    assert f"line {line} " in said
    assert "2 measures" in said
