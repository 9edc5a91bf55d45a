"""Repeats told in a teacher's own words: ``do all that again``, ``(2x too)``, ``the chorus is sung
two times``.

A clause says one where it has a word for how often, a word for what, and hardly any other: what
stands above it, all of it, each part, a part by its name, a line of the page. Common practice, no
source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from rollstave.grid.typed import Bar, FreeText, GridMeasure
from rollstave.patterns import rare
from rollstave.reading.words.parts_played import ORDINALS, Part, number_of

_CLAUSES = rare(r"[.;:!?,]+\s*|\s+-{1,3}\s+|\b(?:and\s+)?then\b")
_HOW_OFTEN = rare(
    r"(?P<n>twice|thrice|(?:\d|two|three|four)\s*(?:x\b|×|times)|[x×]\s?\d\b)"
    r"|(?P<second>\b(?:a\s+second|another|one\s+more)\s+time\b)"
    r"|(?:over\s+|once\s+|round\s+)?again\b|once\s+more\b|\brepeat(?:s|ed)?\b",
    re.IGNORECASE,
    cues=("twice", "thrice", "x", "×", "times", "again", "once", "repeat", "time"),
)
_CUES = ("twice", "thrice", "x", "×", "time", "again", "once", "repeat")
# Words that repeats are told with, besides the names of parts.
_TOLD_WITH = (
    "a all also and another are around as back be before beginning below bit both but by come "
    "comes do each entire every everything from go goes got half here i in is it its it's itself "
    "line lines lot measure measures more now of on one ones other over part parts play played "
    "please round row rows same section sections sing start strain strains sung system systems "
    "that that's the these thing this those through to too top tune two we well whole you once "
    "twice again thrice time times x repeat repeated repeats bar bars verse chorus song piece "
    "bottom last first second third 1st 2nd 3rd high low next above three four should must has "
    "have gets get up straight"
)
_COMMON = frozenset(_TOLD_WITH.split())
_ALL = rare(r"\b(?:all|whole|everything|entire|lot)\b", re.IGNORECASE)
_EACH = rare(
    r"\b(?:each|every|both)\s+(?:of\s+)?(?:the\s+|these\s+|those\s+)?"
    r"(?:parts?|halves|half|strains?|sections?|one)\b",
    re.IGNORECASE,
)
_EACH_LINE = rare(
    r"\b(?:each|every)\s+(?:one\s+)?(?:of\s+)?(?:the\s+|these\s+|those\s+)?(?:two\s+|three\s+"
    r"|four\s+)?(?:line|row|system)s?\b",
    re.IGNORECASE,
    cues=("line", "row", "system"),
)
_FEW_LINES = rare(
    r"\b(?P<end>first|top|last|bottom|other)\s+(?P<count>two|three|four|2|3|4)\s+"
    r"(?:line|row|system)s\b",
    re.IGNORECASE,
    cues=("line", "row", "system"),
)
_LINES = rare(
    r"\b(?:(?P<both>both|two|three)\s+(?:of\s+)?(?:these\s+|those\s+|the\s+)?"
    r"|(?:these|those)\s+(?P<these>two|three)?\s?"
    r"|(?P<this>this|that)\s+|(?P<which>first|top|second|third|last|bottom)\s+)"
    r"(?:line|row|system)s?\b|\b(?:line|row)\s+(?P<number>one|two|three|[1-9])\b",
    re.IGNORECASE,
    cues=("line", "row", "system"),
)
_A_PART = rare(r"\b(?:[A-F]\s+part|part\s+[A-F])\b", cues=("part",))
_PLAY = rare(r"\b(?:play|do|sing|take)\b", re.IGNORECASE)
_PART = rare(
    r"\b(?P<which>first|1st|second|2nd|third|3rd|last|other)\s+"
    r"(?:part|half|strain|section|bit|one|verse)\b",
    re.IGNORECASE,
)
_THIS = rare(r"\b(?:this|that|it|these|those|above)\b", re.IGNORECASE)
_NOT = rare(
    r"\b(?:don'?t|not|never|no|if|may|might|can|could|sometimes|or|unless|until|when|endings?"
    r"|only|notes?|string|loud|slow|fast|means|bar|measure|roll|lick"
    r"|(?:start|end|beginning)\s+of\s+(?:the\s+)?repeat|repeat\s+(?:starts|begins|ends)"
    r"|(?:first|last|next)\s+(?:two|three|few|\d)\s+times)\b",
    re.IGNORECASE,
)
_ORDER = {word: number - 1 for word, number in ORDINALS.items()}
_ORDER |= {"top": 0, "one": 0, "two": 1, "three": 2} | {str(n + 1): n for n in range(9)}
# "When you come to the end you go back to the beginning and play all of it once more"
_AT_THE_END = rare(
    r"\bwhen\s+(?:you|we)\s+(?:come|get)\s+to\s+the\s+end(?:\s+of\s+it)?\b", re.IGNORECASE
)
# What is told of somebody, and what is played again in another way.
_STORY = rare(
    r"\b(?:if|may|might|can|could|sometimes|unless|until|when\s+(?:it|the|there)|a\s+day|every\s+day"
    r"|she|he|they|her|his|their|used\s+to|up\s+high|up\s+the\s+neck|octave|higher|lower"
    r"|differently|another\s+way)\b",
    re.IGNORECASE,
)
_BARE = rare(rf"\W*(?:(?:and|then|play(?:ed)?|go)\s+)*(?:{_HOW_OFTEN.pattern})\W*", re.IGNORECASE)
_SHORT = 10  # words of a line
_LONGEST = 160  # characters of a line that is looked at


def told_again(
    text: str, note: FreeText, measures: Sequence[GridMeasure], begin: int
) -> list[Part]:
    """The stretches that words say are played again: the line of ``note``, and what its sentence
    has on the next one. ``measures`` have the repeats read so far; ``begin`` is the first measure
    behind what words before this line have repeated."""
    if len(text) > _LONGEST or not any(cue in text.lower() for cue in _CUES):
        return []
    if _STORY.search(text):
        return []
    text = _AT_THE_END.sub(" ", text)
    found: list[Part] = []
    plain = len(text.split()) <= _SHORT
    for clause in _CLAUSES.split(text):
        often = _HOW_OFTEN.search(clause)
        little = _says_little_else(clause, measures)
        if often is None or _NOT.search(clause) or not little:
            plain &= little
            continue
        times = number_of(often["n"]) if often["n"] else 2
        told = bool(often["n"] or often["second"]) or often[0].lower().startswith("repeat")
        if not plain and len(clause.split()) <= _FEW and _BARE.fullmatch(clause):
            continue  # "three times" of something else
        parts = _meant(clause, told, note.before_measure, measures, begin)
        if note.before_measure == 0 and times > 2 and parts == [(0, len(measures))]:
            continue  # "whole thing three times" is how long to go on, and no sign
        found += [Part(start, end, times) for start, end in parts if times > 1]
    return found


_OF_WHAT = rare(
    r"\b(?:parts?|strains?|sections?|halves|half|bits?|lines?|rows?|bars|measures|all|whole|this|that"
    r"|these|those|tune|verse|chorus|through)\b",
    re.IGNORECASE,
)
_MOST_STRANGE = 3  # words of a clause that says a repeat in its own way


def may_say_again(text: str) -> bool:
    """True for words that seem to say how often something of a tune is played."""
    if len(text) > _LONGEST or not any(cue in text.lower() for cue in _CUES) or _STORY.search(text):
        return False
    for clause in _CLAUSES.split(text):
        often = _HOW_OFTEN.search(clause)
        if often is None or not (often["n"] or often["second"]) or _NOT.search(clause):
            continue
        words = re.findall(r"[a-z']+", clause.lower())
        strange = sum(w not in _COMMON for w in words)
        if _OF_WHAT.search(clause) and strange <= _MOST_STRANGE:
            return True
    return False


def _says_little_else(clause: str, measures: Sequence[GridMeasure]) -> bool:
    """True if hardly a word of a clause is none of those that repeats are told with."""
    names = {word for m in measures if m.section for word in re.findall(r"\w+", m.section.lower())}
    words = re.findall(r"[a-z']+|\d\w*", clause.lower())
    strange = [
        w for w in words if w not in _COMMON and w not in names and not re.fullmatch(r"\d\w?", w)
    ]
    return len(strange) <= (1 if len(words) > 4 else 0)


def _meant(
    clause: str, told: bool, here: int, measures: Sequence[GridMeasure], begin: int
) -> list[tuple[int, int]]:
    """The stretches that a clause means. ``told``: it says how often, not just again."""
    sections = [m.index for m in measures if m.section is not None]
    if several := _EACH_LINE.search(clause) or _FEW_LINES.search(clause):
        return _several_lines(several, measures) if told else []
    if lines := _LINES.search(clause):
        return _lines(lines, here, measures)
    if _EACH.search(clause):
        return _each(sections, len(measures)) if told else []
    named = _named(clause, sections, measures)
    if named and (told or (len(named) == 1 and named[0][1] == here and _PLAY.search(clause))):
        return named
    if _A_PART.search(clause) and not named:
        return []  # a part that is not there
    if here == 0:  # what is said before all of a tune is no sign, but for the whole of it
        alone = not sections and not any(m.right is Bar.REPEAT_END for m in measures)
        return [(0, len(measures))] if told and alone and _ALL.search(clause) else []
    if _ALL.search(clause):
        if 0 < here < len(measures):
            return _above(here, begin, measures, whole=True)
        repeated = any(m.right is Bar.REPEAT_END for m in measures)
        return [(begin if repeated else 0, len(measures))]
    if not _THIS.search(clause) and not (told and len(clause.split()) <= _FEW):
        return []
    return _above(here, begin, measures, whole=False)


_FEW = 5  # words that speak of what stands above them without a word for it: "(2x too)"


_SEVERAL = 2  # parts


def _each(sections: Sequence[int], count: int) -> list[tuple[int, int]]:
    if len(sections) < _SEVERAL:
        return []
    return list(pairwise([*sections, count]))


def _named(
    clause: str, sections: Sequence[int], measures: Sequence[GridMeasure]
) -> list[tuple[int, int]]:
    """The parts that a clause names, by their own names or by their place in the order."""
    spans = list(pairwise([*sections, len(measures)]))
    words = re.findall(r"\w+", clause.lower())
    found = []
    for start, end in spans:
        name = re.findall(r"\w+", (measures[start].section or "").lower())
        bare = [w for w in name if w not in ("the", "part", "section", "strain")] or name
        if len(bare) == 1 and bare[0] in _ORDER and not bare[0].isdigit():
            bare = name  # "First strain", not any first
        lone = len(bare) == 1 and (len(bare[0]) == 1 or bare[0].isdigit())
        said = ["part", *bare] if lone else bare
        if lone and re.search(rf"\b(?:play|do|sing|take)\s+{bare[0].upper()}\b", clause):
            found.append((start, end))
            continue
        if _within(said, words) or (lone and _within([*bare, "part"], words)):
            found.append((start, end))
    match = _PART.search(clause)
    if found or match is None:
        return found
    at = _ORDER.get(match["which"].lower(), len(spans) - 1)
    return [spans[at]] if 1 < len(spans) > at else []


def _within(some: Sequence[str], words: Sequence[str]) -> bool:
    return any(list(words[i : i + len(some)]) == list(some) for i in range(len(words)))


def _several_lines(match: re.Match[str], measures: Sequence[GridMeasure]) -> list[tuple[int, int]]:
    """Every system by itself, or the first or last few together."""
    systems = sorted({m.system for m in measures})
    spans = []
    for system in systems:
        inside = [m.index for m in measures if m.system == system]
        spans.append((inside[0], inside[-1] + 1))
    if "count" not in match.groupdict():
        return spans
    count = {"two": 2, "three": 3, "four": 4}.get(match["count"].lower()) or int(match["count"])
    if count >= len(spans):
        return []
    chosen = spans[:count] if match["end"].lower() in ("first", "top") else spans[-count:]
    return [(chosen[0][0], chosen[-1][1])]


def _lines(
    match: re.Match[str], here: int, measures: Sequence[GridMeasure]
) -> list[tuple[int, int]]:
    """The systems of the page that words mean."""
    systems = sorted({m.system for m in measures})
    above = [s for s in systems if any(m.system == s and m.index < here for m in measures)]
    which = (match["which"] or match["number"] or "").lower()
    if which in ("last", "bottom"):
        chosen = systems[-1:]
    elif which:
        chosen = systems[_ORDER[which] : _ORDER[which] + 1]
    else:
        many = (match["both"] or match["these"] or "").lower()
        count = 1 if match["this"] else {"three": 3}.get(many, 2)
        chosen = above[-count:] if len(above) >= count else []
    inside = [m.index for m in measures if m.system in chosen]
    return [(inside[0], inside[-1] + 1)] if inside else []


def _above(
    here: int, begin: int, measures: Sequence[GridMeasure], whole: bool
) -> list[tuple[int, int]]:
    """What stands above some words, since the last repeat or, but for all of it, the last part;
    what stands below them, up to the next part, where that is repeated already."""
    starts = [begin]
    starts += [m.index + 1 for m in measures[:here] if m.right is Bar.REPEAT_END]
    if not whole:
        starts += [m.index for m in measures[:here] if m.section is not None]
    start = max(starts)
    if start < here:
        return [(start, here)]
    ends = [m.index for m in measures[here + 1 :] if m.section is not None]
    return [(here, min(ends, default=len(measures)))] if here < len(measures) else []
