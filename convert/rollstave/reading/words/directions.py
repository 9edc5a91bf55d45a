"""Directions in words: how often a part is played, and where a player goes back to.

``TIMES``, ``JUMPS`` and ``AGAIN`` are the tables. What they do to the measures is decided when
the tune is complete, in :func:`apply`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from rollstave.grid.typed import Bar, GridMeasure
from rollstave.patterns import rare
from rollstave.problems import Place, ProblemList
from rollstave.reading.saying.times import times_said
from rollstave.vocabulary import problems as kinds

_NUMBERS = {
    "once": 1,
    "twice": 2,
    "two": 2,
    "three": 3,
    "thrice": 3,
    "four": 4,
    "five": 5,
    "bis": 2,
    "again": 2,
    "once more": 2,
    "one more time": 2,
    "repeat": 2,  # the word alone
}
_NUMBER = r"(?P<n>\d|two|three|four|five)"
_FIRST = r"(?:(?:then|now|and|please|just)\s+)*"
_WHAT = (
    r"(?:(?:this|that|it|the|above|all|whole|part|section|strain|thing|lot|of)"
    r"(?:\s+|(?=\W*$)|,\s*))*"
)
_OVER = r"(?:\s+(?:through|over|in\s+all|around))?"
# "this part goes twice", "that also three times"
_OF_THIS = (
    r"(?:(?:do|play)\s+)?(?:this|that|it|these)\s+(?:(?:one|bit|line|part|half|strain|section)\s+)?"
    r"(?:(?:is|goes|gets|round|also|too|as\s+well|likewise|played|to\s+be)\s+)*"
)
# "go back up and do it again, then on to this"
_BACK = r"(?:go\s+(?:back|round|around)(?:\s+up)?\s*(?:,|and|&)\s*)?"
_THEN = r"(?:\W+(?:and\s+)?(?:then|before)\s+\w+(?:\s+\w+){0,3})?"
TIMES: tuple[re.Pattern[str], ...] = tuple(
    rare(rf"^\W*{words}\W*$", re.IGNORECASE, cues)
    for words, cues in (
        (
            rf"{_FIRST}(?:play(?:ed)?|repeat(?:ed)?|do)\W+{_WHAT}{_NUMBER}\s*(?:x|times){_OVER}",
            ("x", "times"),
        ),
        (
            rf"{_FIRST}(?:play(?:ed)?|repeat(?:ed)?|do)\W+{_WHAT}(?P<n>twice|thrice){_OVER}",
            ("twice", "thrice"),
        ),
        (rf"{_NUMBER}\s*(?:x|times){_OVER}", ("x", "times")),
        (rf"x\s*{_NUMBER}", ("x",)),
        (rf"(?:(?:a)?round\s+|through\s+)?(?P<n>twice|bis){_OVER}", ("twice", "bis")),
        (
            rf"{_FIRST}(?P<n>repeat)"
            rf"(?:\s+{_WHAT}(?:once)?(?:from\s+the\s+start\s+of\s+the\s+part)?)?",
            ("repeat",),
        ),
        (rf"{_FIRST}{_OF_THIS}{_NUMBER}\s*(?:x|times){_OVER}", ("x", "times")),
        (rf"{_FIRST}{_OF_THIS}(?P<n>twice|thrice){_OVER}", ("twice", "thrice")),
        (
            rf"{_FIRST}{_BACK}{_FIRST}(?:do|play)\s+(?:it|that|this)\s+"
            rf"(?P<n>again|once\s+more|one\s+more\s+time){_THEN}",
            ("again", "more"),
        ),
    )
)
_CAPO = (
    r"(?:d\.? ?c\.?|da capo"
    r"|(?:(?:go|and|then) )*(?:back to|from) (?:the )?(?:top|beginning|start|head)(?: and play)?)"
)
_SEGNO = (
    r"(?:d\.? ?s\.?|dal segno|from the sign"
    r"|(?:(?:and|then) )*(?:go )?back to (?:the )?(?:sign|segno|[𝄋§%]))"
)
_CODA_SIGN = r"(?:[𝄌⊕⌖]|\(\+\))"
_CODA_CUES = ("coda", "𝄌", "⊕", "⌖", "(+)")
# What a jump is called: the words in any case, and with a sign in place of its name.
JUMPS: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (rare(rf"^[^\w𝄋𝄌⊕]*{words}[^\w𝄋𝄌⊕]*$", re.IGNORECASE, cues=cues), jump)
    for words, jump, cues in (
        (rf"{_CAPO}\s+(?:al|to|till)\s+fine", "D.C. al Fine", ("fine",)),
        (rf"{_CAPO}\s+(?:al|to)\s+(?:coda|{_CODA_SIGN})", "D.C. al Coda", _CODA_CUES),
        (_CAPO, "D.C.", ("dc", "d.", "d c", "da capo", "back to", "from")),
        (rf"{_SEGNO}\s+(?:al|to|till)\s+fine", "D.S. al Fine", ("fine",)),
        (rf"{_SEGNO}\s+(?:al|to)\s+(?:coda|{_CODA_SIGN})", "D.S. al Coda", _CODA_CUES),
        (_SEGNO, "D.S.", ("ds", "d.", "d s", "dal segno", "sign", "back to")),
    )
)
# What may stand around them; another sign beside one may be a place, too.
_DRESS = r"[\s\-–—*.,:;!()\[\]{}<>\"'~=_|/#>]*"
# Places that jumps lead to or from, by the field of a measure that they set. Those in ``BEFORE``
# stand before their measure, the others after it.
PLACES: tuple[tuple[re.Pattern[str], str], ...] = tuple(
    (rare(rf"^{_DRESS}{words}{_DRESS}$", re.IGNORECASE, cues=cues), field)
    for words, field, cues in (
        (r"fine", "fine", ("fine",)),
        (
            rf"(?:to|al)\s+(?:the\s+)?(?:coda|{_CODA_SIGN})(?:\s*{_CODA_SIGN})?",
            "to_coda",
            _CODA_CUES,
        ),
        (r"(?:segno|the sign|𝄋|%|§)(?:\s*(?:segno|𝄋))?", "segno", ("segno", "sign", "𝄋", "%", "§")),
        (rf"(?:coda|{_CODA_SIGN})(?:\s*{_CODA_SIGN})?", "coda", _CODA_CUES),
    )
)
BEFORE = ("segno", "coda")
AGAIN: tuple[re.Pattern[str], ...] = tuple(
    rare(rf"^\W*{words}\W*$", re.IGNORECASE, cues)
    for words, cues in (
        (r"(?:play\s+|now\s+|then\s+)*(?:the\s+)?(?P<name>.{1,24}?)\s+again", ("again",)),
        (
            r"(?:(?:play|go|then|and|now)\s+)*(?:back\s+to|repeat)\s+(?:the\s+)?(?P<name>.{1,24})",
            ("back", "repeat"),
        ),
        (
            r"(?P<name>.{1,24}?)\s+(?:as\s+(?:before|above)|\(?repeat(?:ed)?\)?)",
            ("before", "above", "repeat"),
        ),
    )
)


_OF_PART = rare(r"\bthis\s+(?:part|strain|section|half)\b", re.IGNORECASE)
_OF_TUNE = rare(r"\bwhole\s+(?:thing|tune|lot|piece)\b|\bthe\s+lot\b", re.IGNORECASE)
_ORDER = re.compile(
    r"^(?:(?i:form|order|play(?:ed)?)(?:\s*:)?\s+)?(?P<parts>[A-D](?:[ ,-]*[A-D]){2,11})\.?$"
)


# What leads from one letter to the next: "Play A, B, A, then C and A again".
_LEADING = rare(
    r"\b(?:(?:and|then|finally|again|stop|once more|back to|to (?:end|finish)(?: with)?)\b[,. ]*)+",
    re.IGNORECASE,
    cues=("and", "then", "finally", "again", "stop", "once more", "back to", "to end", "to finish"),
)


def is_order_of_parts(text: str) -> bool:
    """True for ``AABB`` and the like, as :func:`order_of_parts`."""
    return bool(order_of_parts(text))


def order_of_parts(text: str) -> str:
    """The letters of ``AABB`` and the like: those of parts, in the order in which parts get them,
    so that the letters of a tuning (``ADAD``) are none, and one of them again, so that no name is.
    Empty if a text is nothing of the kind."""
    match = _ORDER.match(text.strip()) or _ORDER.match(_LEADING.sub(" ", text).strip(" .,"))
    if match is None:
        return ""
    letters = [c for c in match["parts"] if c.isalpha()]
    first_seen = list(dict.fromkeys(letters))
    in_turn = first_seen == list("ABCD"[: len(first_seen)])
    return "".join(letters) if in_turn and 1 < len(first_seen) < len(letters) else ""


class Direction(Struct, frozen=True):
    """A direction as read: after which measure it stands (as a count of measures), its kind and
    value, and whether it stood beside a system or with the name of a section."""

    kind: str  # "times", "jump", or one of the fields in PLACES
    value: str
    after: int
    beside: bool
    place: Place
    part: bool = False  # said of "this part": of all since the part before
    tune: bool = False  # said of "the whole thing"


def read_direction(text: str, after: int, beside: bool, place: Place) -> Direction | None:
    """The direction that a text is, or None."""
    if len(text) > 60:
        return None
    for pattern in TIMES:
        if match := pattern.match(text):
            word = " ".join(match["n"].lower().split())
            number = int(word) if word.isdigit() else _NUMBERS[word]
            break
    else:
        number = times_said(text)
    if number:
        return (
            Direction(
                kind="times",
                value=str(number),
                after=after,
                beside=beside,
                place=place,
                part=_OF_PART.search(text) is not None,
                tune=_OF_TUNE.search(text) is not None,
            )
            if number > 1
            else None
        )
    for pattern, jump in JUMPS:
        if pattern.match(text):
            return Direction(kind="jump", value=jump, after=after, beside=beside, place=place)
    for pattern, field in PLACES:
        if pattern.match(text):
            return Direction(kind=field, value="", after=after, beside=beside, place=place)
    return None


def section_again(text: str, names: Sequence[str]) -> str | None:
    """The name of the section that the words say is played again, or None."""
    if len(text) > 50:
        return None
    for pattern in AGAIN:
        match = pattern.match(text.strip())
        if match is None:
            continue
        wanted = _fold(match["name"])
        for name in reversed(names):
            if wanted and wanted == _fold(name):
                return name
    return None


_REPEAT = re.compile(r"\W*(?:please\s+)?repeat\b(?!ed)", re.IGNORECASE)


def asks_for_repeat(text: str, name: str, last: str) -> bool:
    """True if words under a section say ``repeat``, and it is that section they name: it is
    played twice, and not written again."""
    return _REPEAT.match(text) is not None and _fold(name) == _fold(last)


def _fold(name: str) -> str:
    """``The A part``, ``[A]`` and ``part A`` are one section."""
    words = re.findall(r"[a-z0-9]+", name.lower())
    return " ".join(sorted(w for w in words if w not in ("the", "part", "section", "strain")))


def copy_section(measures: Sequence[GridMeasure], name: str, system: int) -> list[GridMeasure]:
    """The measures of a section again, to be added at the end. They keep their places."""
    start = max(i for i, m in enumerate(measures) if m.section == name)
    end = next((i for i in range(start + 1, len(measures)) if measures[i].section), len(measures))
    return [
        replace(measure, index=len(measures) + offset, system=system)
        for offset, measure in enumerate(measures[start:end])
    ]


def apply(
    measures: Sequence[GridMeasure], directions: Sequence[Direction], problems: ProblemList
) -> list[GridMeasure]:
    """The measures with the directions in them. How each was understood is said in a notice."""
    result = list(measures)
    for direction in directions:
        if not result:
            break
        last = max(0, min(direction.after, len(result)) - 1)
        if direction.kind == "jump":
            result[last] = replace(result[last], jump=direction.value)
        elif direction.kind in BEFORE:
            first = min(direction.after, len(result) - 1)
            result[first] = _with(result[first], direction.kind)
        elif direction.kind != "times":
            result[last] = _with(result[last], direction.kind)
        else:
            _repeat(result, direction, problems)
    return _with_coda(result)


def _with(measure: GridMeasure, field: str) -> GridMeasure:
    changes: dict[str, Any] = {field: True}
    return replace(measure, **changes)


def is_sign(text: str) -> bool:
    """True for the sign of a segno or a coda alone: no ruler, though it has no letters."""
    return any(pattern.match(text) for pattern, _ in PLACES)


def jump_at(measure: GridMeasure, text: str) -> GridMeasure | None:
    """The measure with the sign or words of a jump over or under it, None if they are none."""
    for pattern, jump in JUMPS:
        if pattern.match(text):
            return replace(measure, jump=jump)
    for pattern, field in PLACES:
        if pattern.match(text):
            return _with(measure, field)
    return None


def is_jump(text: str) -> bool:
    """True for the sign or words of a jump and nothing else: ``Fine`` heads no tune."""
    return any(pattern.match(text) for pattern, _ in (*JUMPS, *PLACES))


def stands_before(text: str) -> bool:
    """True if the words stand before their measure, as Segno does, not at its end."""
    return any(field in BEFORE and pattern.match(text) for pattern, field in PLACES)


def _with_coda(measures: list[GridMeasure]) -> list[GridMeasure]:
    """A section named Coda is the coda, where a jump leads to one and nothing else is marked. One
    sign before the jump and another behind it are the place to leave from and the coda."""
    signed = [m.index for m in measures if m.coda]
    for measure in measures:
        # Back to the sign, with one coda before and another behind: there the player leaves.
        between = len(signed) > 1 and signed[0] <= measure.index < signed[-1]
        if between and measure.jump in ("D.S.", "D.C."):
            measures[measure.index] = replace(measure, jump=f"{measure.jump} al Coda")
    jumps = [m.index for m in measures if "Coda" in (m.jump or "")]
    leads = bool(jumps) or any(m.to_coda for m in measures)
    if not leads:
        return measures
    named = [m.index for m in measures if (m.section or "").strip().lower() == "coda"]
    behind = [i for i in (*signed, *named) if jumps and i > jumps[-1]]
    if len(jumps) == 1 and behind and signed and signed[0] <= jumps[0]:
        if not any(m.to_coda for m in measures):
            measures[signed[0]] = replace(measures[signed[0]], coda=False, to_coda=True)
            measures[behind[-1]] = _with(measures[behind[-1]], "coda")
        return measures
    if signed:
        return measures
    if named:
        measures[named[-1]] = _with(measures[named[-1]], "coda")
    return measures


def _repeat(result: list[GridMeasure], direction: Direction, problems: ProblemList) -> None:
    start, end = _span(result, direction)
    end = _before_second_ending(result, start, end)
    times = int(direction.value)
    kept = times if times > 2 else None
    # By line, not by number: whether there is a pickup, which has no number, the rhythm will tell.
    count, line = end - start + 1, result[start].first_line
    many = f"the {count} measures that begin" if count > 1 else "the measure that begins"
    what = f"{many} in line {line} are played {times} times"
    what = what if count > 1 else what.replace(" are ", " is ")
    if result[end].right is not Bar.REPEAT_END:
        if any(m.right is Bar.REPEAT_END for m in result[start : end + 1]):
            problems.add(
                kinds.TIMES,
                "these measures have repeats already; the words change nothing",
                direction.place,
            )
            return
        result[start] = replace(result[start], left=Bar.REPEAT_START)
        what += "; repeat bars are added"
    result[end] = replace(result[end], right=Bar.REPEAT_END, times=kept)
    problems.add(kinds.TIMES, what, direction.place)


def _before_second_ending(result: Sequence[GridMeasure], start: int, end: int) -> int:
    """The last measure of a first ending that another follows: there the player goes back."""
    first = next((i for i in range(start, end + 1) if (result[i].ending or "")[:1] == "1"), None)
    if first is None:
        return end
    return next((i - 1 for i in range(first + 1, end + 1) if result[i].ending), end)


def _span(result: Sequence[GridMeasure], direction: Direction) -> tuple[int, int]:
    """The measures that a number of times is said of: those of the section it is said with, or
    the strain that ends at the system it stands beside, or else that system alone."""
    if direction.tune:
        return 0, len(result) - 1
    if not direction.beside:
        start = min(direction.after, len(result) - 1)
        end = next((i for i in range(start + 1, len(result)) if result[i].section), len(result))
        return start, end - 1
    end = max(0, direction.after - 1)
    start = end
    while start > 0 and not _opens(result, start):
        start -= 1
    closes = end + 1 == len(result) or _opens(result, end + 1)
    if not closes and not direction.part:
        system = result[end].system
        start = max(start, next(i for i, m in enumerate(result) if m.system == system))
    return start, end


def _opens(result: Sequence[GridMeasure], index: int) -> bool:
    before = result[index - 1].right
    return (
        result[index].section is not None
        or result[index].left is Bar.REPEAT_START
        or before in (Bar.REPEAT_END, Bar.DOUBLE)
    )
