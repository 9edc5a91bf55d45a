"""Headings: what is said about a tune, in any order, case and wording.

``KEYWORDS`` is the table: the words people use and the key they stand for. ``BARE`` are forms
that need no colon ("key of G", "capo 2").
"""

from __future__ import annotations

import re
from dataclasses import replace

from rollstave.grid.model import Heading
from rollstave.reading.decode import Line

KEYWORDS: tuple[tuple[str, str], ...] = (
    (r"title|tune|name of tune|song", "title"),
    (r"tuning|tuned|tune to", "tuning"),
    (r"key", "key"),
    (r"time(?: signature)?|met(?:er|re)", "time"),
    (r"tempo|speed|bpm", "tempo"),
    (r"capo", "capo"),
    (r"(?:5th|fifth|thumb|short)(?: string)?", "fifth string"),
    (r"composer|composed by|music by|written by|by", "composer"),
    (r"source|from|taken from|out of", "source"),
    (r"style|hand|right hand|playing style", "style"),
    (r"instrument", "instrument"),
)
_KEYWORD = re.compile(
    r"(?<![\w#])(?:"
    + "|".join(f"(?P<k{i}>{words})" for i, (words, _) in enumerate(KEYWORDS))
    + r")\s*[:=]\s*",
    re.IGNORECASE,
)
BARE: tuple[tuple[str, str], ...] = (
    (r"(?:in\s+)?(?:the\s+)?key\s+of\s+(?P<v>\S.*)", "key"),
    (r"(?P<v>no\s+capo)", "capo"),
    (r"capo(?:ed)?\s+(?:on\s+|at\s+)?(?:the\s+)?(?:fret\s+)?(?P<v>\d+.*)", "capo"),
    (r"(?:tuning|tuned(?:\s+to)?)\s+(?P<v>\S.*)", "tuning"),
    (r"(?P<v>.{1,30})\s+tuning(?P<w>\s*\([^)]*\))?", "tuning"),
    (r"tempo\s+(?P<v>\d+.*)", "tempo"),
    (r"(?P<v>\d+)\s*bpm", "tempo"),
    (r"(?:time\s+)?(?P<v>\d+\s*/\s*\d+)(?:\s+time)?", "time"),
    (r"(?P<v>(?:cut|common)\s+time)", "time"),
    (
        r"(?:with\s+)?(?:the\s+)?(?:5th|fifth)(?:\s+string)?\s+"
        r"(?P<v>(?:raised|up|spiked|capo|tuned|at|not|counted).*)",
        "fifth string",
    ),
)
# Forms that take a whole line, commas and all; a line that ends in a period is a sentence.
WHOLE: tuple[tuple[str, str], ...] = (
    (r"(?P<v>from\s+the\s.*[^.])", "source"),
    (r"(?:composed|written|music)\s+by\s+(?P<v>\S.*)", "composer"),
)
_WHOLE = [(re.compile(pattern + r"\s*$", re.IGNORECASE), key) for pattern, key in WHOLE]
_BARE = [(re.compile(pattern + r"\s*$", re.IGNORECASE), key) for pattern, key in BARE]


def read_headings(line: Line) -> list[Heading] | None:
    """The headings on a line, or None if the line is something else.

    Several headings may share a line, with keywords and colons or, without, with commas or
    wide gaps between them.
    """
    text = line.text
    matches = list(_KEYWORD.finditer(text))
    if matches:
        before = text[: matches[0].start()].strip(" -*•,;")
        found = _read_bare(line, before) if before else []
        if found is None:
            return None
        for match, after in zip(matches, [*matches[1:], None], strict=True):
            end = after.start() if after else len(text)
            value = text[match.end() : end].rstrip(" \t,;|/-")
            found += _with_more(Heading(_key(match), value, line.place(match.end())), line, match)
        return found
    return _read_bare(line, text)


_SHORT = ("tuning", "key", "time", "tempo", "capo")


def _with_more(heading: Heading, line: Line, match: re.Match[str]) -> list[Heading]:
    """A heading and those that follow its value after commas: ``Tuning: open G, 4/4``."""
    first, comma, rest = heading.text.partition(",")
    if heading.key not in _SHORT or not comma or not first.strip():
        return [heading]
    start = match.end() + len(first) + 1
    # Blanks before, so that places stay right.
    more = _read_bare(line, " " * start + rest)
    if more is None or any(h.key == heading.key for h in more):
        return [heading]
    return [replace(heading, text=first.strip()), *more]


def _key(match: re.Match[str]) -> str:
    for index, (_, key) in enumerate(KEYWORDS):
        if match[f"k{index}"] is not None:
            return key
    raise AssertionError("a keyword matched without a group")


def _read_bare(line: Line, text: str) -> list[Heading] | None:
    found = []
    for pattern, key in _WHOLE:
        if match := pattern.match(text.strip()):
            return [Heading(key, match["v"], line.place(max(0, line.text.find(match["v"]))))]
    for piece in re.finditer(r"[^,;\s](?:[^,;]*?[^,;\s])??(?=\s*[,;]|\s{3,}|\s*$)", text):
        words = piece[0].strip().rstrip(".")
        if words.startswith("(") and words.endswith(")"):
            words = words[1:-1]
        for pattern, key in _BARE:
            if match := pattern.match(words):
                value = match["v"].strip() + (match.groupdict().get("w") or "")
                place = line.place(piece.start() + max(0, piece[0].find(match["v"])))
                found.append(Heading(key, value, place))
                break
        else:
            return None
    return found or None


_SECTION = re.compile(
    r"\s*(?:"
    r"\[(?P<a>[A-Za-z][\w ]{0,20})\]"
    r"|(?P<b>(?:part|section|strain)\s+[A-Z0-9])"
    r"|(?P<c>[A-Z0-9]\s+(?:part|section|strain))"
    r"|(?P<d>(?:first|second|third|fourth|1st|2nd|3rd|high|low|fine|coarse)\s+(?:part|strain))"
    r"|(?P<e>(?:intro(?:duction)?|verse|chorus|refrain|bridge|outro|tag|break|coda|ending)"
    r"(?:\s+\d)?)"
    r"|(?P<f>[A-F])(?=[:.]|\s*$)"
    r")\s*[:.]?\s*(?P<rest>\([^)]*\))?\s*$",
    re.IGNORECASE,
)


def read_section(line: Line) -> tuple[str, str] | None:
    """The section name on a line (``A part``, ``[B]``, ``Chorus``) and the words after it
    (``Second strain. Play it softly.``), or None."""
    match = _SECTION.match(line.text)
    if match is None:
        name, stop, rest = line.text.partition(". ")
        if not stop or not (found := read_section(replace(line, text=name))):
            return None
        return found[0], rest.strip()
    if match["f"] and not match["f"].isupper():
        return None
    name = next(match[g] for g in "abcdef" if match[g])
    return (f"{name} {match['rest']}" if match["rest"] else str(name)), ""
