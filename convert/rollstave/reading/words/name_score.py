"""How much a line over a tab looks like the name of the tune: points for and against.

Set by hand from what typists do (common practice, no source). They are a sign of the model that
chooses the title; where that is not sure they say which other line may be it.
``python -m tests.benchmarks.unlike`` shows how often they are right.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from rollstave.patterns import rare
from rollstave.reading.page.decode import Line
from rollstave.reading.words import titles
from rollstave.reading.words.headings import read_headings
from rollstave.reading.words.names import is_sentence
from rollstave.reading.words.section_names import read_section
from rollstave.reading.words.title_line import begins_with_instrument

GREETS = rare(
    r"\W*(?:hi|hello|hey|dear|hallo|liebe[rs]?|bonjour|salut|hola|ciao|thanks|thank\s+you|cheers"
    r"|regards|best|greetings|folks|friends|brothers|sisters|ladies|everyone|everybody|yo"
    r"|all\s*[,!:]|(?:good\s+)?(?:morning|evening)(?:\s+all)?\s*[,.!:]"
    r"|good\s+(?:morning|evening)|gr(?:ü|u)(?:ß|ss)e)\b",
    re.IGNORECASE,
)
SENT = rare(
    r"@|https?:|\d\s+(?:\w+\s+){0,2}(?:street|st\.|road|rd\.|lane|avenue|square)\b|www\.|\b(?:19|20)\d\d\b|\d\s?[:.]\s?\d\d\b"
    r"|^\W*(?:posted|sent|submitted|uploaded|page|date|copyright)\b|©",
    re.IGNORECASE,
)
SAYS_HOW = rare(
    r"\W*(?:for|from|by|learn\w*|typed?|transcri\w+|arr\w*|as\s+played|with|played|play|taught|copied"
    r"|written|key|tuning|tuned|time|capo|tempo|slowly|fast|von|nach|f(?:ü|u)r|par|pour|de|por|para"
    r"|t\s*=|see|note|use|repeat|count)\b",
    re.IGNORECASE,
)
# What names of tunes have and those of people have not.
OF_TUNES = rare(
    r"^the\b|\bthe\b|\bof\b|\w's\b|\b(?:waltz|reel|jig|polka|blues|rag|march|hornpipe|song|air"
    r"|lament|breakdown|hop|fancy|farewell)\b",
    re.IGNORECASE,
)
_MANY = 8  # words
NAMED = 3  # points of a line that is written as a name is


def points(lines: Sequence[Line], index: int, text: str) -> int:
    """The points of words that begin a line, or are all of it."""
    name = titles.undressed(text.strip())
    line = lines[index]
    found = sum(points for points, holds in _OF_WORDS if holds(name, line))
    above = lines[index - 1] if index else None
    below = lines[index + 1] if index + 1 < len(lines) else None
    found += all(other is None or other.blank or titles.is_ruler(other) for other in (above, below))
    found += not any(line.text.strip() for line in lines[:index])
    if below is not None and not below.blank:
        found += bool(read_headings(below, head=True))
    return found


_OF_WORDS: tuple[tuple[int, Callable[[str, Line], bool]], ...] = (
    (3, lambda name, _: titles.looks_named(name)),
    (1, lambda name, _: len(name.split()) > 1),
    (1, lambda name, _: name.isupper() and len(name.split()) > 1),
    (2, lambda name, _: titles.looks_named(name) and OF_TUNES.search(name) is not None),
    (1, lambda name, _: name[:1] in "\"“'«"),
    (-4, lambda name, _: is_sentence(name, 4)),
    (-2, lambda name, _: name[-1:] in ".,;:!?)"),
    (-4, lambda name, _: titles.heads_a_sheet(name)),
    (-4, lambda name, _: SENT.search(name) is not None),
    (-4, lambda name, _: GREETS.match(name) is not None),
    (-4, lambda name, _: titles.leads_elsewhere(name)),
    (-2, lambda name, _: len(name.split()) > _MANY),
    (-2, lambda name, _: any(map(str.isdigit, name))),
    (-3, lambda name, _: begins_with_instrument(name)),
    (-3, lambda name, _: SAYS_HOW.match(name) is not None),
    (-4, lambda _, line: read_section(line) is not None),
    (-4, lambda name, _: max(map(len, re.findall(r"[^\W\d_]+", name)), default=0) < len("four")),
)
