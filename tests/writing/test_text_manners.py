"""The rhythm of a text is said in a manner that is read as it is meant.

The scores are truth, the reader is the judge; each was once read otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import pytest
from msgspec.structs import replace

import rollstave
from rollstave.grid.typed import Bar
from rollstave.problems import TabError
from rollstave.rhythm.meter import Meter
from rollstave.score.compare import first_difference
from rollstave.score.records import Measure, Score
from rollstave.writing.text.manners import MANNERS, Manner, best_text, best_typing
from tests.writing.test_text_lengths import measure, note, score_of


def _even(strings: str, step: Fraction, length: Fraction) -> Measure:
    return measure(
        length, {n * step: note(int(s), 0 if s == "5" else n % 5) for n, s in enumerate(strings)}
    )


DOTTED = score_of(
    Meter(6, 8),
    [
        _even("321512", Fraction(3, 4), Fraction(9, 2)),
        *(_even("213245", Fraction(1, 2), Fraction(3)) for _ in range(3)),
    ],
)


def test_a_measure_that_letters_alone_do_not_decide_is_typed_otherwise() -> None:
    """Six dotted eighths in 6/8 fill a measure and a half; six even notes usually fill one."""
    from rollstave.writing.text import typing_of

    plain = rollstave.read(typing_of(DOTTED).text)[0].score
    assert first_difference(DOTTED, plain) == "measure 1"
    text = rollstave.write(DOTTED, "text")[0]
    assert first_difference(DOTTED, rollstave.read(text)[0].score) is None
    assert "s+e" in text.decode()


def test_the_usual_manner_is_kept_where_it_is_right() -> None:
    from rollstave.writing.text import write_text

    full = _even("3215", Fraction(1), Fraction(4))
    score = score_of(Meter(4, 4), [full, full])
    assert rollstave.write(score, "text") == [write_text(score)]


def test_the_first_manner_that_is_right_is_taken_and_else_the_best() -> None:
    full = _even("3215", Fraction(1), Fraction(4))
    other = _even("1235", Fraction(1), Fraction(4))
    score = score_of(Meter(4, 4), [full, full])
    one_wrong = replace(score, measures=(score.measures[0], other))
    both_wrong = replace(score, measures=(other, other))
    read = {manner: [both_wrong] for manner in MANNERS}
    asked: list[Manner] = []

    def write(manner: Manner) -> bytes:
        asked.append(manner)
        return b"%d" % MANNERS.index(manner)

    def again(text: bytes) -> Sequence[Score]:
        found = read[MANNERS[int(text)]]
        if not found:
            raise TabError(())
        return found

    read[MANNERS[2]] = [one_wrong]
    read[MANNERS[3]] = []
    found = best_typing(score, write, again)
    assert (found.text, found.moved) == (b"2", (1,))
    assert asked == list(MANNERS)
    read[MANNERS[1]] = [score]
    found = best_typing(score, write, again)
    assert (found.text, found.moved) == (b"1", ())


def test_a_long_text_is_written_once_and_not_read_again() -> None:
    """So long that no other manner is tried: how it is read would change nothing."""
    score = score_of(Meter(4, 4), [_even("3215", Fraction(1), Fraction(4))])
    written: list[Manner] = []

    def write(manner: Manner) -> bytes:
        written.append(manner)
        return b"x" * length

    def again(text: bytes) -> Sequence[Score]:
        raise AssertionError(f"{len(text)} bytes are read again")

    length = 60_000
    assert best_text(score, write, again) == b"x" * length
    assert written == [MANNERS[0]]
    length = 100
    with pytest.raises(AssertionError, match="100 bytes"):
        best_text(score, write, again)


def test_what_no_manner_says_is_told() -> None:
    """A lone measure shorter than the meter in the middle of a tune, with a bar that opens a
    repeat: as text it is read as one that begins with a rest."""
    start = replace(_even("15", Fraction(1), Fraction(2)), right=Bar.REPEAT_END)
    lone = measure(Fraction(1), {Fraction(0): note(1, 9)})
    score = score_of(Meter(2, 4), [start, lone, replace(start, left=Bar.REPEAT_START)])
    tune = rollstave.read(rollstave.write(score, "musicxml")[0])[0]
    text = rollstave.write(tune, "text")[0]
    same = first_difference(tune.score, rollstave.read(text)[0].score) is None
    told = [p.message for p in tune.problems if p.code == "typed-otherwise"]
    assert same != bool(told)


def test_a_short_row_may_begin_with_a_sign() -> None:
    """A slide from nowhere is a sign of tab (common practice, no source)."""
    rows = "D|-----||\nB|-----||\nG|-----||\nD|/2-0-||\ng|-----||\n"
    (tune,) = rollstave.read(f"Title: The Short Pier\nTuning: open G\nTime: 1/4\n\n{rows}")
    frets = [n.fret for m in tune.score.measures for e in m.events for n in e.notes]
    assert frets == [2, 0]


def test_a_harmonic_keeps_clear_of_the_signs_of_a_legend() -> None:
    """Where a legend says that < and > are slides, a harmonic has its star, and comes back."""
    rows = "\n".join(f"{s}|{'-0---7*--' if s == 'B' else '-' * 9}|" for s in "DBGDg")
    legend = "Signs I use:\n   <  slide down to"
    (tune,) = rollstave.read(f"Title: Tide Gate\nTuning: gDGBD\nTime: 2/4\n\n{legend}\n\n{rows}\n")
    assert "<" in {sign.sign for sign in tune.score.signs}
    (again,) = rollstave.read(rollstave.write(tune, "text")[0])
    heard = [
        [(n.harmonic, n.pitch.midi) for m in t.score.measures for e in m.events for n in e.notes]
        for t in (tune, again)
    ]
    assert heard[0] == heard[1]
    assert (True, 78) in heard[0]


@pytest.mark.parametrize(
    ("head", "capo"),
    [("", None), ("Capo: 2\n", "2"), ("\nSound it without any capo, and softly.\n", "none")],
)
def test_a_capo_is_typed_where_there_is_one_or_words_speak_of_one(
    head: str, capo: str | None
) -> None:
    """A heading that says nothing is not typed; words about a capo must not be read for one."""
    rows = "\n".join(f"{name}|-0---0---|" for name in "DBGDg")
    (tune,) = rollstave.read(f"Title: Two Oars\nTuning: gDGBD\n{head}\n{rows}\n")
    text = rollstave.write(tune, "text")[0].decode()
    typed = [line.partition(":")[2].strip() for line in text.splitlines() if line[:5] == "Capo:"]
    assert typed == ([] if capo is None else [capo])
