"""How often parts are played, said for several of them at once: ``AABB``, ``each part twice``.

Such words may stand anywhere in a tune, before the parts that they speak of, so they are looked
for when the tune is complete. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

from msgspec.structs import replace

from rollstave.grid.typed import Bar, FreeText, GridMeasure
from rollstave.patterns import rare
from rollstave.problems import Place, ProblemList
from rollstave.reading.saying.judge import probability, told
from rollstave.reading.words.directions import is_order_of_parts, order_of_parts
from rollstave.reading.words.parts_played import MOST_NOTES, Part, number_of
from rollstave.reading.words.repeats_by_place import parts_by_place
from rollstave.reading.words.told_again import told_again
from rollstave.vocabulary import problems as kinds

_TIMES = r"(?P<n>twice|thrice|(?:\d|two|three|four)\s*(?:x|times))"
_TIMES_OR_ONCE = r"(?P<n>once|twice|thrice|[x×]\s?\d|(?:\d|two|three|four)\s*(?:x|times))"
_TIMES_CUES = ("twice", "thrice", "x", "times")
_PARTS = r"(?:parts?|sections?|strains?|halves|half|bits?|exercises?|drills?|one)"
_EACH = rare(
    rf"\b(?:each|every|both|all)\s+(?:the\s+)?{_PARTS}\s+"
    rf"(?:(?:is|are|gets?|goes|go|you)\s+)?(?:round\s+)?(?:play(?:ed)?\s+)?{_TIMES}(?!\w)",
    re.IGNORECASE,
    cues=_TIMES_CUES,
)
_PLAY_EACH = rare(
    rf"\b(?:play|repeat)\s+(?:each|every|both|all)\s+(?:the\s+)?{_PARTS}"
    rf"(?P<more>\s+{_TIMES})?(?!\w)",
    re.IGNORECASE,
    cues=("play", "repeat"),
)
_LETTER = rare(
    r"\b(?:part\s+)?(?P<part>[A-F])(?:\s+part)?\s+(?:is\s+)?(?:played\s+)?"
    r"(?P<n>twice|thrice|once|[x×]\s?\d|\d\s?x|(?:\d|two|three|four)\s+times)(?!\w)",
    cues=("twice", "thrice", "once", "x", "×", "times"),
)
_FIRST = rare(
    r"\b(?:the\s+)?(?P<end>first|last)\s+(?P<count>two|three|four|six|eight|\d{1,2})"
    r"(?:\s+(?:bars|measures|lines))?,?\s+"
    rf"(?:you\s+|we\s+|I\s+|are\s+|to\s+be\s+)*(?:play(?:ed)?\s+|repeat(?:ed)?\s+)?{_TIMES}(?!\w)",
    re.IGNORECASE,
    cues=_TIMES_CUES,
)
_PLAY_FIRST = rare(
    r"\b(?:play|repeat)\s+the\s+(?P<end>first|last)\s+(?P<count>two|three|four|six|eight|\d{1,2})"
    rf"\s+(?:bars|measures)\s+{_TIMES}(?!\w)",
    re.IGNORECASE,
    cues=("play", "repeat"),
)
_WHOLE = rare(
    r"\b(?:play|do|go\s+(?:through|over))\s+(?:it\s+all|(?:all|the\s+whole|the\s+lot)(?:\s+of\s+it)?"
    r"|everything|the\s+(?:whole|entire)\s+(?:thing|tune|piece|song|lot))"
    rf"\s+(?:(?:through|over)\s+)?{_TIMES}(?!\w)",
    re.IGNORECASE,
    cues=_TIMES_CUES,
)
_WHOLE_LINE = rare(
    rf"\W*the\s+(?:whole|entire)\s+(?:line|row|thing|tune|piece|lot)\s+{_TIMES}(?!\w)",
    re.IGNORECASE,
    cues=_TIMES_CUES,
)
_WHAT_IS_ABOVE = rare(
    rf"\ball\s+(?:of\s+)?(?:that|the\s+above)\s+{_TIMES}(?!\w)", re.IGNORECASE, cues=_TIMES_CUES
)
_THESE_BARS = rare(
    rf"\bthese\s+(?P<count>two|three|four|\d)\s+(?:bars|measures)\b[^.;:]{{0,48}}?\b{_TIMES}(?!\w)",
    re.IGNORECASE,
    cues=_TIMES_CUES,
)
# What any of these words have, and how long a line may be that has them.
_CUE = rare(r"twice|thrice|times|play|repeat|form|order|\dx|x\d|A[A-D ,-]", re.IGNORECASE)
_LONGEST = 300
_BARS = re.compile(r"\b(?:bars|measures)\b", re.IGNORECASE)
_SPELLED = rare(
    r"(?:\b(?i:play(?:ed)?|form|order)\b(?:\s+(?i:it|is))?(?:\s*:)?\s+)"
    r"(?P<parts>[A-F](?:[ ,-]*[A-F]){2,11})\b",
    cues=("play", "form", "order"),
)


def play_parts(
    measures: list[GridMeasure], notes: Sequence[FreeText], problems: ProblemList
) -> list[GridMeasure]:
    """The measures with the repeats that words on several parts ask for."""
    result = list(measures)
    few = len(notes) <= MOST_NOTES
    by_place = list(parts_by_place(notes, measures)) if few else []
    for part, note in by_place:
        _repeat(result, part, note.place, problems)
    placed = [note for _, note in by_place]
    begin = 0  # behind what words have repeated
    for note in notes:
        if note in placed or len(note.text) > _LONGEST:
            continue
        parts = _beside(note, measures) or _parts_of(note.text, measures)
        between = 0 < note.before_measure < len(measures)
        if not parts or (between and parts == [replace(parts[0], start=0, end=len(measures))]):
            parts = (told_again(_text(note, notes), note, result, begin) if few else []) or parts
        for part in parts:
            _repeat(result, part, note.place, problems)
            begin = max(begin, part.end) if part.end < len(measures) else begin
        if not parts and is_order_of_parts(note.text):
            problems.add(
                kinds.ORDER,
                f"{note.text.strip()!r} is kept as words: parts are written once and played as "
                "often as their repeat signs say; type |: and :| around a part, or 'play twice' "
                "under it",
                note.place,
            )
    return result


def _text(note: FreeText, notes: Sequence[FreeText]) -> str:
    """A line of words, with the next one where its sentence goes on there."""
    if note.text[-1:] in ".!?:;)":
        return note.text
    line = note.place.line + 1
    after = next((n.text for n in notes if n.place.line == line), "")
    rest = re.split(r"(?<=[.!?;])\s", after)[0]  # up to where the sentence ends
    return f"{note.text} {rest}".rstrip()


def leading_back(measures: list[GridMeasure], problems: ProblemList) -> list[GridMeasure]:
    """The measures with a repeat at the end of a first ending that a second follows and no sign
    closes; it is told. A first ending leads back (common practice, no source)."""
    result = list(measures)
    first: GridMeasure | None = None
    begins = 0  # the strain
    for measure in measures:
        before = result[measure.index - 1] if measure.index else measure
        plain = before.right in (Bar.SINGLE, Bar.NONE, Bar.DOUBLE) and not before.jump
        if measure.section is not None:
            first, begins = None, measure.index
        if measure.ending is None:
            continue
        if first is not None and measure.ending.startswith("2") and plain:
            result[before.index] = replace(before, right=Bar.REPEAT_END)
            problems.add(
                kinds.LEADING_BACK,
                "the first ending leads back, since a second follows; no repeat sign (:|) closes "
                "it, so one is put there",
                Place(first.first_line, first.first_column),
            )
        leads = measure.ending.startswith("1") and measure.index > begins
        first = measure if leads else None
    return result


def _beside(note: FreeText, measures: Sequence[GridMeasure]) -> list[Part]:
    """What words say of the measures right over them, ``all that twice``, or right under them,
    ``these two bars, and you play them twice``."""
    here = note.before_measure
    above = _WHAT_IS_ABOVE.search(note.text) if 0 < here < len(measures) else None
    if above is not None:
        ends = [at for at, m in enumerate(measures, start=1) if m.right is Bar.REPEAT_END]
        return [Part(max((at for at in ends if at < here), default=0), here, number_of(above["n"]))]
    below = _THESE_BARS.search(note.text)
    count = number_of(below["count"]) if below is not None else 0
    over = below is not None and _THEN.search(note.text, below.end()) is not None
    if below is not None and 1 < count <= here and (over or _right_under(note, measures)):
        return [Part(here - count, here, number_of(below["n"]))]
    if below is None or not 1 < count <= len(measures) - here:
        return []
    return [Part(here, here + count, number_of(below["n"]))]


# "Play these four bars twice. Then comes the other half:"
_THEN = rare(r"(?:[.;,]|\band)\s+then\b", re.IGNORECASE, cues=("then",))


def _right_under(note: FreeText, measures: Sequence[GridMeasure]) -> bool:
    """True for words nearer to the rows above them than to those below."""
    here = note.before_measure
    above = note.place.line - measures[here - 1].last_line
    return here == len(measures) or above < measures[here].first_line - note.place.line


def with_repeats(measures: list[GridMeasure], endings: Sequence[int]) -> list[GridMeasure]:
    """The measures with a repeat at the end of each ending but the last, where endings are said
    in words, which name no signs. ``endings`` are the measures at which they begin."""
    result = list(measures)
    for later in endings[1:]:
        before = result[later - 1] if 0 < later < len(result) else None
        if before is not None and before.right is not Bar.REPEAT_END:
            result[later - 1] = replace(before, right=Bar.REPEAT_END)
    return result


def _parts_of(text: str, measures: Sequence[GridMeasure]) -> list[Part]:
    """What the words of a line ask for; nothing if they speak of parts that are not there."""
    sections = list(_sections(measures))
    if match := _WHOLE.search(text) or _WHOLE_LINE.match(text):
        return [Part(0, len(measures), number_of(match["n"]))]
    if match := _EACH.search(text) or _PLAY_EACH.search(text):
        times = number_of(match["n"]) if match["n"] else 0
        first = sections[0][1].start if sections else 0
        unnamed = [Part(0, first, times)] if first else []
        parts = [replace(part, times=times) for _, part in sections]
        return [*unnamed, *parts] if times > 1 else []
    if found := _by_letters(text) or _by_names(text, [name for name, _ in sections]):
        return _named(found, sections)
    if said := _told(text, sections, len(measures)):
        return said
    for match in (*_FIRST.finditer(text), *_PLAY_FIRST.finditer(text)):
        count = number_of(match["count"])
        if _BARS.search(text) and 1 < count <= len(measures):
            first = match["end"].lower() == "first"
            start = 0 if first else len(measures) - count
            return [Part(start, start + count, number_of(match["n"]))]
    return []


_SECOND = rare(r"\W*(?:the\s+)?(?:second|2nd|other|b|part\s+(?:b|2|two))\b", re.IGNORECASE)


def _sections(measures: Sequence[GridMeasure]) -> Iterator[tuple[str, Part]]:
    """The letter of each section, or its name, and where it stands."""
    starts = [m.index for m in measures if m.section is not None]
    if starts and starts[0] > 1 and _SECOND.match(measures[starts[0]].section or ""):
        starts.insert(0, 0)  # what stands before a second part is the first
    for start, end in pairwise([*starts, len(measures)]):
        yield _letter(measures[start].section or ""), Part(start, end, 1)


def _letter(name: str) -> str:
    """``A``, ``Part A``, ``A-PART``, ``A (softly)`` are A."""
    words = re.findall(r"\w+", re.sub(r"\(.*?\)|(?:\s-|,)\s.*", "", name).upper())
    return " ".join(w for w in words if w not in ("THE", "PART", "SECTION", "STRAIN"))


def _by_letters(text: str) -> list[tuple[str, int]]:
    """``AABB`` and ``A twice, B once``: letters and how often each is played, in order."""
    spelled = _SPELLED.search(text)
    order = spelled["parts"] if spelled else text.strip(" .")
    if letters := order_of_parts(order) or order_of_parts(text):
        return [(letter, len(list(group))) for letter, group in groupby(letters)]
    return [(m["part"], number_of(m["n"])) for m in _LETTER.finditer(text)]


def _by_names(text: str, names: Sequence[str]) -> list[tuple[str, int]]:
    """``Low twice, High once``: the names of parts that are there and how often each is played, in
    order; nothing if the words speak of one only, which may be a remark."""
    found: list[tuple[int, str, int]] = []
    for name in dict.fromkeys(names):
        words = r"\W+".join(map(re.escape, name.split()))
        match = words and re.search(
            rf"\b{words}(?:\s+(?:part|strain|section))?\s+(?:is\s+)?(?:played\s+)?{_TIMES_OR_ONCE}(?!\w)",
            text,
            re.IGNORECASE,
        )
        if match:
            found.append((match.start(), name, number_of(match["n"])))
    return [(name, times) for _, name, times in sorted(found)] if len(found) > 1 else []


def _told(text: str, sections: Sequence[tuple[str, Part]], count: int) -> list[Part]:
    """What words tell in their own way: ``Teil A zweimal, Teil B zweimal``. Parts that are
    numbered, or called low and high, are those in this order where no letters are."""
    found = max(told(text, "order", "repeat"), key=probability, default=None)
    if found is None or not isinstance(found.value, tuple):
        return []
    pairs = [(str(name), int(times)) for name, times in found.value]
    if pairs[0][0] == "all":
        return [Part(0, count, pairs[0][1])]
    if found.way == "letters":
        letters = [name for name, _ in pairs]
        pairs = [(letter, len(list(group))) for letter, group in groupby(letters)]
    names = [name for name, _ in sections]
    if len({name for name, _ in pairs}) < len(pairs):
        return []
    for letter, (name, _) in zip("ABCDEF", sections, strict=False):
        if letter not in names and any(asked == letter for asked, _ in pairs):
            pairs = [(name if asked == letter else asked, n) for asked, n in pairs]
    words = [(_matching(name, names), n) for name, n in pairs]
    return (
        _named([(name, n) for name, n in words if name], sections)
        if all(name for name, _ in words)
        else []
    )


def _matching(asked: str, names: Sequence[str]) -> str:
    """The name among some that words mean: alike, or the first with the same word in it."""
    if asked in names:
        return asked
    return next((name for name in names if asked.upper() in name.split()), "")


def _named(wanted: Sequence[tuple[str, int]], sections: Sequence[tuple[str, Part]]) -> list[Part]:
    """The sections that are played more than once; nothing if one is missing or comes again."""
    letters = [letter for letter, _ in sections]
    asked = [letter for letter, _ in wanted]
    if len(set(asked)) < len(asked) or any(letters.count(letter) != 1 for letter in asked):
        return []
    if [letter for letter in letters if letter in asked] != asked:
        return []
    return [
        replace(sections[letters.index(letter)][1], times=times)
        for letter, times in wanted
        if times > 1
    ]


def _repeat(result: list[GridMeasure], part: Part, place: Place, problems: ProblemList) -> None:
    """Put repeat bars around a part that has none."""
    inside = result[part.start : part.end]
    if any(Bar.REPEAT_END is m.right or Bar.REPEAT_START is m.left for m in inside):
        return
    if any(m.ending for m in inside):
        return
    start, end = part.start, part.end - 1
    result[start] = replace(result[start], left=Bar.REPEAT_START)
    times = part.times if part.times > 2 else None
    result[end] = replace(result[end], right=Bar.REPEAT_END, times=times)
    problems.add(
        kinds.TIMES,
        f"the {len(inside)} measures from line {inside[0].first_line} on are played {part.times} "
        "times; repeat bars are added",
        place,
    )
