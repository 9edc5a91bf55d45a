"""A small tab that a phrase is typed above, over, or below: the plainest in which its facts show.

The tab has no labels, so that nothing but the phrase speaks of strings, and its measures are as
long as the time that the phrase states, so that nothing speaks against it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from msgspec import Struct

Facts = Mapping[str, Any]
POSITIONS = ("above", "below")
_EIGHTH = 2  # columns
_WITH_UNIT = 8  # columns of a measure where the phrase says what a column lasts
_OF_LETTERS = {"GCEA": "ukulele", "CGDA": "tenor banjo", "EADG": "bass"}
_STRINGS = {"guitar": 6, "bass": 4, "mandolin": 4, "ukulele": 4}
_STRINGS |= {"tenor banjo": 4, "plectrum banjo": 4}
HAND = {"thumb", "index", "middle", "ring"}


class Document(Struct, frozen=True):
    """A text and the lines in it that are the phrase's; ``without`` is the same with those lines
    empty, ``over`` the measure that a phrase between systems stands over."""

    text: str
    lines: range
    without: str
    over: int = 0


def instrument_of(facts: Facts) -> str:
    """The instrument that a tab is for, as this project calls it."""
    said = str(facts.get("instrument", "")).replace("5-string", "five-string")
    if said in ("banjo", "five-string banjo"):
        return "five-string banjo"
    if said:
        return said
    letters = "".join(c for c in str(facts.get("tuning", "")) if c.isalpha() and c != "b")
    if len(letters) == 6:
        return "guitar"
    if len(letters) == 4:
        return _OF_LETTERS.get(letters, "mandolin")
    order = str(facts.get("string_order", ""))
    return {"4": "mandolin", "6": "guitar"}.get(order[:1], "five-string banjo")


def document(text: str, facts: Facts, position: str) -> Document:
    """The text in which a phrase is tried."""
    between = "section" in facts or "ending" in facts
    head: list[str] = [] if "title" in facts else ["Title: Oat Field Reel", ""]
    instrument = instrument_of(facts)
    if instrument != "five-string banjo" and "instrument" not in facts:
        head[1:1] = [f"Instrument: {instrument}"]
    phrase = text.split("\n")
    parts = _parts(facts)
    first, *others = _systems(facts, instrument, len(parts))
    body = [*_named(parts[0]), *first]
    if not between and position == "above":
        lines = [*head, *phrase, "", *body]
        start = len(head)
    else:
        lines, start = [*head, *body], 0
    over = 0
    for name, system in zip(parts[1:], others, strict=True):
        lines.append("")
        over += 2
        if between and start == 0:
            gap = [""] * (position == "below")
            before = facts.get("ending") in ("2", "last")
            if before:  # the first ending is plain to see, and no tune begins with one
                lines += [_over("1."), *first, ""]
                over += 2
            start = len(lines)
            lines += [*phrase, *gap, *system]
            if facts.get("ending") == "1":
                lines += ["", "2." + " " * 10, *system]
            break
        lines += [*_named(name), *system]
    if start == 0 and (position == "below" or between):
        lines.append("")
        start = len(lines)
        lines += phrase
    bare = [
        *lines[:start],
        *[""] * len(phrase),
        *lines[start + len(phrase) :],
    ]
    return Document(
        text="\n".join(lines) + "\n",
        lines=range(start + 1, start + 1 + len(phrase)),
        without="\n".join(bare) + "\n",
        over=over,
    )


def order_of(facts: Facts) -> list[str]:
    """The names of parts in the order in which the phrase says that they are played."""
    order = str(facts.get("order", ""))
    return order.split() if " " in order else list(order)


def _parts(facts: Facts) -> list[str]:
    """The names of the parts of a tab, empty for one that has none."""
    if "order" in facts:
        return list(dict.fromkeys(order_of(facts)))
    repeat = dict(facts.get("repeat", {}))
    if "section" in facts or set(repeat) <= {"all"}:
        return ["", ""]
    return ["Opening", *repeat] if len(repeat) == 1 else list(repeat)


def _named(name: str) -> list[str]:
    if not name:
        return []
    return [f"{name} part" if len(name) == 1 else name]


def _over(number: str) -> str:
    return " " + number


def eighths_of(facts: Facts) -> int:
    """How many eighth notes a measure of the tab has."""
    time = str(facts.get("time", "4/4"))
    beats, of = (int(n) for n in time.split("/"))
    return int(Fraction(8 * beats, of))


def _systems(facts: Facts, instrument: str, count: int) -> list[list[str]]:
    strings = _STRINGS.get(instrument, 5)
    columns = _EIGHTH * eighths_of(facts)
    if "unit" in facts:
        columns = _WITH_UNIT
    letters = [s for s, m in dict(facts.get("legend", {})).items() if m in HAND and len(s) == 1]
    turned = str(facts.get("string_order", "1 first"))[0] not in "1A"
    return [
        _system(
            strings,
            columns,
            seed=n,
            letters=letters if n == 0 else (),
            turned=turned,
            short_frets={"peg": 2, "nut": 7}.get(str(facts.get("fifth_frets")), 0),
        )
        for n in range(count)
    ]


def _system(
    strings: int,
    columns: int,
    *,
    seed: int,
    letters: Sequence[str],
    turned: bool,
    short_frets: int,
) -> list[str]:
    """Two measures, a note in every second column, string 1 first."""
    rows = [["-"] * (2 * columns) for _ in range(strings)]
    for index, at in enumerate(range(0, 2 * columns, 2)):
        string = (0, 2, 1, strings - 1)[index % 4]
        fret = (0, 2, 0, 0, 1, 0, 3, 0)[(index + seed) % 8]
        if strings == 5 and string == 4:
            fret = short_frets
        rows[string][at] = str(fret)
    typed = ["|" + "".join(r[:columns]) + "|" + "".join(r[columns:]) + "|" for r in rows]
    if turned:
        typed.reverse()
    if letters:
        signs = [letters[i % len(letters)] for i in range(columns)]
        gaps = [" "] * (2 * columns + 1)
        for index, at in enumerate(range(0, 2 * columns, 2)):
            gaps[at + (at >= columns)] = signs[index % len(signs)]
        typed.append(" " + "".join(gaps))
    return typed
