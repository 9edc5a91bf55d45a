"""What can be seen of a line without deciding what it is: the features of the chain.

A feature is a name; a line has it or not. Each says one thing: how the line is made, what its
words look like, what stands around it, how its words stand over the notes beside it.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Collection, Sequence
from functools import lru_cache

from rollstave.instruments.known import Known
from rollstave.patterns import rare
from rollstave.problems import Place
from rollstave.reading.beside import attach, pointing, sung
from rollstave.reading.page.decode import Line
from rollstave.reading.words.charts import chart_of
from rollstave.reading.words.directions import is_order_of_parts, read_direction
from rollstave.reading.words.headings import read_headings
from rollstave.reading.words.names import is_sentence
from rollstave.reading.words.section_names import read_section, undressed_name
from rollstave.reading.words.tuning_words import now_known

_WORD = rare(r"[^\W\d_]+")
_LEGEND = rare(r"(?:^|[\s,;(])\S{1,4}\s*(?:=|\bmeans\b|\bis\b)\s*(?:an?\s+)?[A-Za-z]{3}")
_NUMBERED = rare(r"\s*[|\[(]?\d(?:\s?[,-]\s?\d)*(?:[.)\]:]|st|nd|rd)?[_\-. ]*[|\]]?\s*$")
_SPEAKS = frozenset(
    [
        "i",
        "i'm",
        "you",
        "your",
        "it",
        "it's",
        "is",
        "are",
        "was",
        "this",
        "that",
        "here",
        "my",
        "me",
        "we",
        "he",
        "she",
        "the",
        "a",
        "an",
        "and",
        "but",
        "if",
        "when",
        "play",
        "let",
        "hold",
        "keep",
        "use",
        "try",
        "on",
        "off",
        "with",
    ]
)
# Words of a trade, each a feature of its own: what they lead to is fitted.
_TOLD = frozenset(
    [
        "part",
        "section",
        "strain",
        "version",
        "variation",
        "verse",
        "chorus",
        "refrain",
        "bridge",
        "intro",
        "outro",
        "ending",
        "coda",
        "tag",
        "break",
        "solo",
        "turnaround",
        "high",
        "low",
        "first",
        "second",
        "third",
        "last",
        "title",
        "tune",
        "by",
        "from",
        "arr",
        "trad",
        "tuning",
        "tuned",
        "key",
        "time",
        "capo",
        "tempo",
        "bpm",
        "style",
        "instrument",
        "meter",
        "source",
        "composer",
        "repeat",
        "times",
        "twice",
        "again",
        "play",
        "back",
        "fine",
        "segno",
        "d.c",
        "d.s",
        "roll",
        "rolls",
        "legend",
        "symbols",
        "signs",
        "hammer",
        "pull",
        "slide",
        "bend",
        "means",
        "chords",
        "count",
        "counts",
        "note",
        "remark",
        "page",
        "wrote",
        "sent",
        "date",
        "subject",
        "form",
        "order",
        "strings",
        "string",
        "measure",
        "measures",
        "bar",
        "bars",
    ]
)
_FAR = 9  # lines to rows: more is far away
_LONG = 72


def features_of(
    lines: Sequence[Line], index: int, is_row: Sequence[bool], first: int, last: int
) -> tuple[str, ...]:
    """The features of a line. ``first`` and ``last`` are the indices of the first and the last
    row of the file, ``is_row`` says which lines are rows."""
    return (
        *_of_itself(lines[index].text, now_known()),
        *_around(lines, index, is_row, first, last),
        *_aligned(lines, index, is_row),
    )


@lru_cache(maxsize=256)  # the bench reads a text again and again, an archive the same legends
def _of_itself(text: str, known: Known) -> tuple[str, ...]:
    """What can be seen of a line without those around it."""
    line = Line(1, text, text)
    return ("all", *_made(text), *_reads(line, text), *_words(text))


def _step(value: int, steps: Sequence[int]) -> str:
    at = bisect_left(steps, value)
    return str(steps[at]) if at < len(steps) else "more"


def _made(text: str) -> list[str]:
    bare = text.strip()
    size = len(bare.replace(" ", ""))
    indent = len(text) - len(text.lstrip())
    words = bare.split()
    digits = sum(map(str.isdigit, bare))
    letters = sum(map(str.isalpha, bare))
    found = [
        f"words {_step(len(words), (1, 2, 3, 4, 6, 9, 14))}",
        f"long {_step(len(bare), (3, 8, 16, 30, 50, _LONG))}",
        f"indent {_step(indent, (0, 1, 3, 8, 20))}",
        f"digits {_step(100 * digits // size, (0, 10, 40, 80))}",
        f"dashes {_step(100 * bare.count('-') // size, (0, 5, 30, 60, 85))}",
        f"letters {_step(100 * letters // size, (0, 20, 60, 90))}",
        f"bars {_step(bare.count('|'), (0, 1, 2, 4))}",
        f"gaps {_step(bare.count('  '), (0, 1, 3))}",
        f"begins {_kind(bare[0])}",
        f"ends {bare[-1] if not bare[-1].isalnum() else _kind(bare[-1])}",
        f"widest word {_step(max(map(len, words)), (1, 2, 3, 5))}",
    ]
    if letters:
        capitals = sum(map(str.isupper, bare))
        found.append(f"capitals {_step(100 * capitals // letters, (0, 10, 25, 60, 99))}")
        if all(w[0].isupper() or not w[0].isalpha() for w in words if len(w) > 3):
            found.append("as a name")
    for sign in ':=,"()[]^*.?!%/':
        if sign in bare:
            found.append(f"has {sign}")
    if ". " in bare:
        found.append("sentences")
    if ": " in bare:
        found.append("colon inside")
    return found


def _kind(char: str) -> str:
    if char.isdigit():
        return "digit"
    if char.isupper():
        return "capital"
    return "small" if char.isalpha() else char


def _reads(line: Line, text: str) -> list[str]:
    """What the tables would take the line for, if it were asked of nothing else."""
    found = []
    if headings := read_headings(line, head=True):
        found += [f"heading {len(headings) if len(headings) < 3 else 'many'}"]
        found += [f"heading of {headings[0].key}"]
    for kind, classifier in attach.CLASSIFIERS.items():
        if typed := classifier(text):
            found.append(f"{kind.name} {_step(len(typed), (1, 2, 4))}")
    if read_section(line):
        found.append("section")
    if undressed_name(text) is not None:
        found.append("dressed")
    if read_direction(text, 0, False, Place(1, 1)):
        found.append("direction")
    if is_order_of_parts(text):
        found.append("order")
    if chart_of(text):
        found.append("chart")
    if pointing.points(line):
        found.append("points")
    if sung.is_spread(line):
        found.append("spread")
    if _LEGEND.search(text):
        found.append(f"legend {_step(text.count('='), (0, 1, 2))}")
    if _NUMBERED.match(text):
        found.append("numbered")
    if is_sentence(text, 4):
        found.append("sentence")
    return found


def _words(text: str) -> list[str]:
    words = [word.lower() for word in _WORD.findall(text)]
    found = [f"told {word}" for word in dict.fromkeys(words) if word in _TOLD]
    if words and words[0] in _TOLD:
        found.append(f"first {words[0]}")
    speaks = sum(word in _SPEAKS for word in words)
    found.append(f"speaks {_step(speaks, (0, 1, 2, 4))}")
    tokens = text.split()
    chords = sum(attach.CHORD.match(token) is not None for token in tokens)
    found.append(f"chords {_step(100 * chords // len(tokens), (0, 40, 70, 99))}")
    return found


def _around(
    lines: Sequence[Line], index: int, is_row: Sequence[bool], first: int, last: int
) -> list[str]:
    found = []
    end = len(lines)
    above = lines[index - 1] if index else None
    below = lines[index + 1] if index + 1 < end else None
    found.append("top" if above is None else "gap above" if above.blank else "close above")
    found.append("end" if below is None else "gap below" if below.blank else "close below")
    if above is not None and below is not None and above.blank and below.blank:
        found.append("alone")
    up = next((n for n in range(1, _FAR) if index - n >= 0 and is_row[index - n]), 0)
    down = next((n for n in range(1, _FAR) if index + n < end and is_row[index + n]), 0)
    found.append(f"rows above {_step(up, (0, 1, 2, 4))}")
    found.append(f"rows below {_step(down, (0, 1, 2, 4))}")
    found.append("head" if index < first else "foot" if index > last else "midst")
    if index < first:
        before = sum(not line.blank for line in lines[max(0, index - 6) : index])
        found.append(f"line of the head {_step(before, (0, 1, 2, 4))}")
    # Nothing but empty lines up to the rows.
    if down and all(lines[i].blank for i in range(index + 1, index + down)):
        found.append("rows next")
    if up and all(lines[i].blank for i in range(index - up + 1, index)):
        found.append("rows just before")
    return found


def _aligned(lines: Sequence[Line], index: int, is_row: Sequence[bool]) -> list[str]:
    """How many of the words stand at columns in which the rows nearest have a figure, or at those
    of their bars."""
    row = next(
        (
            i
            for step in (1, 2, 3)
            for i in (index + step, index - step)
            if 0 <= i < len(lines) and is_row[i]
        ),
        None,
    )
    if row is None:
        return ["no rows near"]
    way = 1 if row > index else -1
    struck: set[int] = set()
    at = row
    while 0 <= at < len(lines) and is_row[at] and abs(at - row) < 6:
        struck.update(m.start() for m in re.finditer(r"\d+", lines[at].text))
        at += way
    bars = {i for i, c in enumerate(lines[row].text) if c == "|"}
    starts = [m.start() for m in re.finditer(r"\S+", lines[index].text)]
    on = 100 * sum(_near(s, struck) for s in starts) // len(starts)
    own = 100 * sum(_near(s, bars) for s in starts) // len(starts)
    wide = starts[-1] < len(lines[row].text)
    return [
        f"on notes {_step(on, (0, 30, 60, 90, 99))}",
        f"on bars {_step(own, (0, 30, 60, 99))}",
        f"within rows {wide}",
    ]


def _near(start: int, columns: Collection[int]) -> bool:
    return start in columns
