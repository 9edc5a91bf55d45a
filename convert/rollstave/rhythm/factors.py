"""What speaks for or against a rhythm: named factors whose weights are fitted.

A reading of a measure is a chain of onsets; each factor looks at one onset with its neighbours,
the strings and fingers around it, and its place in the meter. The sum of the weights of all its
factors is the score of a reading (a semi-Markov conditional random field: Sarawagi and Cohen,
Semi-Markov Conditional Random Fields, NIPS 2004).
"""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.rhythm.evidence import TICKS, Evidence


def mood(evidence: Sequence[Evidence]) -> str:
    """A coarse description of a whole tune: how much of it is the short string, how much several
    strings at once, and how many notes its fullest common measures have."""
    kinds = "".join(e.kinds for e in evidence)
    total = max(1, len(kinds))
    short = kinds.count("t") / total
    several = (kinds.count("p") + kinds.count("b")) / total
    counts = sorted(e.count for e in evidence)
    full = counts[int(0.8 * (len(counts) - 1))] if counts else 0
    a = "0" if short < 0.02 else "1" if short < 0.14 else "2"
    b = "1" if several > 0.12 else "0"
    c = "1" if kinds.count("b") > 0.04 * total else "0"
    return f"{a}{b}{c}{min(full, 13)}"


def rollness(evidence: Sequence[Evidence]) -> int:
    """How much of a tune is the short string alone, from 0 (nothing) to 3 (a fifth or more)."""
    kinds = "".join(e.kinds for e in evidence)
    share = kinds.count("t") / max(1, len(kinds))
    return sum(share >= edge for edge in (0.02, 0.1, 0.2))


def local_factors(
    evidence: Evidence,
    index: int,
    onset: int,
    before: int,
    duration: int,
    meter: str,
    tune_mood: str,
) -> tuple[str, ...]:
    """The factors of one onset: ``before`` is the time since the one before it (0 for the first),
    ``duration`` the time to the next or to the end, all in ticks."""
    kinds = evidence.kinds
    kind = kinds[index]
    last = index + 1 == len(kinds)
    before_kind = kinds[index - 1] if index else "^"
    after_kind = "$" if last else kinds[index + 1]
    beat = onset % TICKS
    if index:
        step = evidence.strings[index] - evidence.strings[index - 1]
        rise = evidence.frets[index] - evidence.frets[index - 1]
        same = "=" if not step and not rise else "s" if not step else "d"
    else:
        step, same = 9, "^"
    after = "$"
    if not last:
        same_string = evidence.strings[index + 1] == evidence.strings[index]
        same_fret = evidence.frets[index + 1] == evidence.frets[index]
        after = "=" if same_string and same_fret else "s" if same_string else "d"
    return (
        f"a{meter}.{onset}.{duration}",
        f"b{meter}.{onset}.{kind}.{duration}",
        f"c{before}.{duration}.{before_kind}{kind}{after_kind}",
        f"d{beat}.{before}.{duration}.{same}",
        f"e{beat}.{before}.{max(-3, min(3, step))}",
        f"f{meter}.{tune_mood}.{onset % (2 * TICKS)}.{duration}",
        f"g{duration}.{kind}{after}{after_kind}",
        f"h{beat}.{evidence.chords[index]}",
    )


Around = tuple[str, str, str, int, str, str, bool]


def surroundings(evidence: Evidence) -> list[Around]:
    """For each onset all that :func:`local_factors` looks at beside times and tune: two onsets that
    have the same here have the same factors at the same times."""
    kinds, strings, frets = evidence.kinds, evidence.strings, evidence.frets
    found: list[Around] = []
    before, step, same = "^", 3, "^"
    last = len(kinds) - 1
    for index, kind in enumerate(kinds):
        if index == last:
            after, next_same, next_step = "$", "", 0
        else:
            after = kinds[index + 1]
            next_step = strings[index + 1] - strings[index]
            next_same = "s" if not next_step else "d"
            if not next_step and frets[index + 1] == frets[index]:
                next_same = "="
        found.append((before, kind, after, step, same, next_same, evidence.chords[index]))
        before, step, same = kind, max(-3, min(3, next_step)), next_same
    return found


def whole_factors(
    evidence: Evidence, durations: Sequence[int], meter: str, around: tuple[int, int]
) -> tuple[str, ...]:
    """The factors of a whole measure: its end, its neighbours' numbers of notes (``around``)."""
    count = evidence.count
    more = "".join("<" if n > count else ">" if n < count else "=" for n in around)
    role = ("o" if evidence.opens else "") + ("c" if evidence.closes else "")
    values = len(set(durations))
    return (
        f"w{meter}.{role}.{durations[-1]}",
        f"x{meter}.{count}.{more}.{min(durations)}.{max(durations)}",
        f"y{count}.{values}.{min(durations)}",
    )
