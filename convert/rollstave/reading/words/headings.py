"""Headings: what is said about a tune, in any order, case and wording.

``KEYWORDS`` is the table: the words people use and the key they stand for. ``BARE`` are forms
that need no colon ("key of G", "capo 2").
"""

from __future__ import annotations

import re

from msgspec.structs import replace

from rollstave.grid.typed import Heading
from rollstave.reading.page.decode import Line
from rollstave.reading.words.dividing import pieces
from rollstave.reading.words.tuning_words import are_letters, could_be_tuning, is_tuning

REMARK = "remark"  # the key of words among headings that are kept as text

KEYWORDS: tuple[tuple[str, str], ...] = (
    (r"(?:song |tune )?title|(?:name of )?(?:the )?tune|(?:tune |song )?name|song", "title"),
    (r"tuning|tuned|tune to", "tuning"),
    (r"key", "key"),
    (r"time(?: signature)?|met(?:er|re)", "time"),
    (r"tempo|speed|bpm", "tempo"),
    (r"capo", "capo"),
    (r"(?:5th|fifth|thumb|short)(?: string)?", "fifth string"),
    (r"composer|composed by|music by|written by|by", "composer"),
    (r"source|from|taken from|out of|artist|(?:as )?(?:played|performed) by", "source"),
    (r"style|hand|right hand|playing style", "style"),
    (r"instrument", "instrument"),
)
_WORDS = "|".join(f"(?P<k{i}>{words})" for i, (words, _) in enumerate(KEYWORDS))
_KEYWORD = re.compile(rf"(?<![\w#])(?:{_WORDS})\s*[:=]\s*", re.IGNORECASE)
# A dash in place of the colon, at the beginning of a line only: "Tuning - gDGCD".
_DASHED = re.compile(
    r"\s*(?:(?P<k0>title)|(?P<k1>tuning)|(?P<k2>key)|(?P<k3>time|met(?:er|re))|(?P<k4>tempo)"
    r"|(?P<k5>capo))\s+-{1,2}\s+(?=\S)",
    re.IGNORECASE,
)
_NUMBER = (
    r"(?:\d+(?:st|nd|rd|th)?|[ivx]{1,4}|one|two|three|four|five|six|seven"
    r"|first|second|third|fourth|fifth|sixth|seventh)"
)
_FIFTH = r"(?:with\s+)?(?:the\s+)?(?:5th|fifth)(?:\s+string)?"
# A tempo may be about right, and be given for a note value: "♩ = ca. 96", "dotted quarter = 60".
_ABOUT = r"(?:ca?\.?\s*|about\s+|around\s+|approx\.?\s*|~\s*)?"
_NOTE_VALUE = (
    r"(?:(?:dotted\s+)?(?:whole|half|quarter|eighth)(?:\s+note)?|1/[1248]|[whqe♩♪𝅗𝅥𝅘𝅥]|crotchet)\.?"
)
BARE: tuple[tuple[str, str], ...] = (
    (r"(?:in\s+)?(?:the\s+)?key\s+of\s+(?P<v>\S.*)", "key"),
    (r"key\s+(?P<v>[A-G](?:#|b|♯|♭)?\s*(?:m|min(?:or)?|maj(?:or)?|dorian|mixolydian)?)", "key"),
    (r"(?P<v>no\s+capo)", "capo"),
    (rf"capo(?:ed)?\s+(?:on\s+|at\s+)?(?:the\s+)?(?:fret\s+)?(?P<v>{_NUMBER}\b.*)", "capo"),
    (r"(?:tuning|tuned(?:\s+to)?)\s+(?P<v>\S.*)", "tuning"),
    (rf"tempo\s+(?P<v>{_ABOUT}\d+.*)", "tempo"),
    (rf"(?P<v>{_ABOUT}\d+\s*bpm)", "tempo"),
    (rf"(?P<v>{_NOTE_VALUE}\s*=\s*{_ABOUT}\d+(?:\s*bpm)?)", "tempo"),
    (rf"m\.?\s?m\.?\s*[=:]?\s*(?P<v>(?:{_NOTE_VALUE}\s*=\s*)?{_ABOUT}\d+)", "tempo"),
    (r"(?:time\s+)?(?P<v>\d+\s*/\s*\d+)(?:\s+time)?", "time"),
    (r"(?P<v>(?:cut|common)\s+time)", "time"),
    (
        rf"{_FIFTH}\s+(?P<v>(?:(?:is\s+)?(?:raised|up|spiked?|capo(?:ed)?|tuned)|to|at|on|not|counted)\b.*)",
        "fifth string",
    ),
    (
        rf"(?:spike|capo|tune|raise)\s+{_FIFTH}\s+(?P<v>(?:up\s+)?(?:to|at|on|by|up)\b.*)",
        "fifth string",
    ),
)
# Forms that are believed only at the head of a tune; in its midst they may be lyrics or remarks.
AT_THE_HEAD: tuple[tuple[str, str], ...] = (
    (r"(?P<v>trad(?:itional)?\.?)", "composer"),
    (r"by\s+(?P<v>(?-i:[A-Z])[\w.'-]*(?:\s+[\w.'&-]+){0,5})", "composer"),
    (
        r"(?P<v>(?:old[- ]?time\s+)?(?:claw-?hammer|frailing|frailed|down-?pick(?:ing|ed)"
        r"|(?:two|three|2|3)[- ]finger|bluegrass)(?:\s+style)?)",
        "style",
    ),
    (r"=\s*(?P<v>\d{2,3})", "tempo"),
    (r"in\s+(?P<v>(?-i:[A-G])(?:#|b|♯|♭)?(?:\s+(?:major|minor|dorian|mixolydian))?)", "key"),
    (
        r"(?P<v>(?:(?:very|not too|a little)\s+)?(?:lively|slow(?:ly)?|fast|brisk(?:ly)?"
        r"|bright(?:ly)?|moderate(?:ly)?|moderato|andante|allegro|allegretto|steady|steadily|gently)\.?)",
        REMARK,
    ),
    # A dance says something of the meter, but not how it is picked.
    (
        r"(?P<v>(?:slip\s+)?jig|reel|hornpipe|waltz|polka|mazurka|schottische|march|strathspey"
        r"|clog|fling|breakdown|minuet|quickstep|galop)",
        REMARK,
    ),
)
# Before the word tuning stands the name of one, and letters may follow it.
_NAMED_TUNING = re.compile(
    r"(?P<v>.{1,30})\s+tuning(?P<w>\s*[(\[][^)\]]*[)\]]|:?\s[A-G#♯♭]{4,9})?\s*$", re.IGNORECASE
)
# Forms that take a whole line, commas and all; a line that ends in a period is a sentence.
WHOLE: tuple[tuple[str, str], ...] = (
    (r"(?P<v>from\s+the\s(?!top\b|beginning\b|start\b|head\b|sign\b).*[^.])", "source"),
    (r"(?:composed|written|music)\s+by\s+(?P<v>\S.*)", "composer"),
)
_WHOLE = [(re.compile(pattern + r"\s*$", re.IGNORECASE), key) for pattern, key in WHOLE]
_BARE = [(re.compile(pattern + r"\s*$", re.IGNORECASE), key) for pattern, key in BARE]
_AT_HEAD = [
    *_BARE,
    *((re.compile(pattern + r"\s*$", re.IGNORECASE), key) for pattern, key in AT_THE_HEAD),
]


# "Key: h - hammer, p - pull" is a legend, not a key.
_LISTS_SIGNS = re.compile(r"(?!\s*[A-G][#b]?\s)\s*\S{1,3}\s?[-=:]\s?[A-Za-z]{4}")
_REMARK_LINE = re.compile(r"\s*remark\s*:\s*(?=\S)", re.IGNORECASE)


def remark_after(text: str) -> int | None:
    """Where the words of a line begin that says itself that it is a remark, or None: such a line
    is nothing else, whatever it looks like."""
    match = _REMARK_LINE.match(text)
    return match.end() if match else None


def read_headings(line: Line, head: bool = False) -> list[Heading] | None:
    """The headings on a line, or None if the line is something else.

    Several headings may share a line, with keywords and colons or, without, with commas, wide
    gaps, dashes or brackets between them. ``head`` is True where no tab stands above. Words
    among headings that are none have the key :data:`REMARK`.
    """
    text = line.text
    if (start := remark_after(text)) is not None:
        return [Heading(REMARK, text[start:].rstrip(), line.place(start))]
    matches = list(_KEYWORD.finditer(text))
    if not matches and (dashed := _DASHED.match(text)):
        matches = [dashed]
    if matches and _key(matches[0]) == "key" and _LISTS_SIGNS.match(text, matches[0].end()):
        return None
    if matches:
        before = text[: matches[0].start()].strip(" -*•,;([")
        found = _read_bare(line, " " * text.find(before) + before, head) if before else []
        if found is None:
            return None
        for match, after in zip(matches, [*matches[1:], None], strict=True):
            end = after.start() if after else len(text)
            value = text[match.end() : end].rstrip(" \t,;|/-([")
            value += "|" * text.startswith(value + "|", match.end()) * (value.upper() == "C")
            heading = Heading(_key(match), value, line.place(match.end()))
            found += _with_more(heading, line, match.end(), head)
        return found
    return _read_bare(line, text, head)


_SHORT = ("tuning", "key", "time", "tempo", "capo")


def _with_more(heading: Heading, line: Line, start: int, head: bool) -> list[Heading]:
    """A heading and those that follow its value: ``Tuning: open G, 4/4``, ``Key: A (capo 2)``."""
    parts = pieces(heading.text) if heading.key in _SHORT else []
    again = next((p for p in parts[1:] if p.text.startswith("=")), None)
    if again is not None:
        # "A modal (aEADE) [= G modal capo 2]": the same once more in other words.
        words = heading.text[again.start :].strip(" )]")
        before = replace(heading, text=heading.text[: again.start].rstrip(" ,;/-([|"))
        remark = Heading(REMARK, words, line.place(start + again.start))
        return [*_with_more(before, line, start, head), remark]
    if len(parts) < 2:
        return [heading]
    more = [bare_heading(line, start + p.start, p.text, head) for p in parts[1:]]
    if not any(more) or any(h is not None and h.key == heading.key for h in more):
        return [heading]
    rest = [
        found or Heading(REMARK, part.text, line.place(start + part.start))
        for part, found in zip(parts[1:], more, strict=True)
    ]
    return [replace(heading, text=parts[0].text), *rest]


def _key(match: re.Match[str]) -> str:
    groups = match.groupdict()
    return next(key for i, (_, key) in enumerate(KEYWORDS) if groups.get(f"k{i}") is not None)


def _read_bare(line: Line, text: str, head: bool) -> list[Heading] | None:
    for pattern, key in _WHOLE:
        if match := pattern.match(text.strip()):
            return [Heading(key, match["v"], line.place(max(0, line.text.find(match["v"]))))]
    parts = pieces(text)
    found = [bare_heading(line, part.start, part.text, head) for part in parts]
    if not found or found[0] is None:
        return None
    return [
        heading or Heading(REMARK, part.text, line.place(part.start))
        for heading, part in zip(found, parts, strict=True)
    ]


def bare_heading(line: Line, start: int, text: str, head: bool = True) -> Heading | None:
    """The heading that words without a colon are, or None; they stand at ``line.text[start:]``."""
    words = text.rstrip(".")
    for pattern, key in _AT_HEAD if head else _BARE:
        if match := pattern.match(text if key in ("composer", REMARK) else words):
            return Heading(key, match["v"].strip(), line.place(start + match.start("v")))
    if match := _NAMED_TUNING.match(words):
        letters = match["w"] or ""
        if could_be_tuning(match["v"]) or are_letters(letters.strip(" ()[]")):
            return Heading("tuning", match["v"].strip() + letters, line.place(start))
        return None
    if head and is_tuning(words):
        return Heading("tuning", words, line.place(start))
    return None


_SECTION = re.compile(
    r"\s*(?:"
    r"\[(?P<a>[A-Za-z][\w ]{0,20})\]"
    r"|(?P<b>(?:part|section|strain)\s+[A-Z0-9])"
    r"|(?P<c>[A-Z0-9]\s+(?:part|section|strain))"
    r"|(?P<d>(?:first|second|third|fourth|1st|2nd|3rd|high|low|fine|coarse)\s+(?:part|strain))"
    r"|(?P<e>(?:intro(?:duction)?|verse|chorus|refrain|bridge|outro|tag|break|coda|variation"
    r"|(?:alternate\s+)?ending)"
    r"(?:\s+\d)?)"
    r"|(?P<f>[A-F][1-4]?)(?=[:.(]|\s*$|\s+\(|\s+(?:x\s?\d|\d\s?x|twice)\s*$)"
    r"|(?P<g>I{1,3}|IV|V)(?=[:.])"
    r")(?:\s*[:.])?(?:\s*(?P<rest>\([^)]*\)|(?<=\s)(?:x\s?\d|\d\s?x|(?:play\s+)?twice)))?"
    r"(?:\s*[:.])?\s*$",
    re.IGNORECASE,
)


# "--- A part ---", "*B*": signs on both sides of a few words.
_DRESSED = re.compile(
    r"\s*[-*=~_#]{1,8} ?(?P<inside>[^\s\-*=~_#][^\-*=~_#]{0,30}) ?[-*=~_#]{1,8}\s*"
)


def read_section(line: Line) -> tuple[str, str] | None:
    """The section name on a line (``A part``, ``[B]``, ``Chorus``) and the words after it
    (``Second strain. Play it softly.``), or None."""
    dressed = _DRESSED.fullmatch(line.text)
    if dressed:
        return read_section(replace(line, text=dressed["inside"]))
    match = _SECTION.match(line.text)
    if match is None:
        name, stop, rest = line.text.partition(". ")
        if not stop or not (found := read_section(replace(line, text=name))):
            return None
        return found[0], rest.strip()
    letters = match["f"] or match["g"]
    if letters and not letters.isupper():
        return None
    name = next(match[g] for g in "abcdefg" if match[g])
    if not (said := match["rest"]):
        return str(name), ""
    return f"{name} {said if said.startswith('(') else f'({said})'}", ""


_VERSE = re.compile(r"\s*\[?(?:verse|chorus|refrain)\b", re.IGNORECASE)


def heads_words(text: str) -> bool:
    """True if a section is one of a song: words right under its name are its text."""
    return _VERSE.match(text) is not None
