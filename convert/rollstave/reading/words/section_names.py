"""Names of sections: ``A part``, ``[B]``, ``Chorus``, ``Version 2``, ``Part 2 - up the neck``."""

from __future__ import annotations

import re

from msgspec.structs import replace

from rollstave.patterns import rare
from rollstave.reading.page.decode import Line

_PARTS = r"(?:part|section|strain)"
_NUMBERED = r"(?:part|teil|partie|parte|deel|section|strain|phrase|version|variation|solo|break)"
_WHICH = (
    r"(?:first|second|third|fourth|last|1st|2nd|3rd|4th|high|low|higher|lower|upper|middle|fine"
    r"|coarse|main|other)"
)
_NAMED = (
    r"intro(?:duction)?|opening|verse|(?:pre-)?chorus|refrain|bridge|outro|tag|break|coda|interlude"
    r"|low|high|turnaround|walk[ -]?(?:up|down)|kick[ -]?off|lead[ -]?in|solo|vamp|version"
    r"|riff|groove|plain(?=\W*$)|variation|(?:alternate\s+)?ending"
)
_SECTION = re.compile(
    r"\s*(?:\(\+\)\s*(?=coda))?(?:the\s+(?=\w+[\s-]))?(?:"
    r"\[(?P<a>[A-Za-z][\w ]{0,20})\]"
    rf"|(?P<b>{_NUMBERED}[\s-]+(?:[A-Z0-9]|one|two|three|four|five)(?!\w))"
    rf"|(?P<c>[A-Z0-9][\s-]+{_PARTS}\b)"
    rf"|(?P<d>{_WHICH}\s+(?:part|strain|half|section|version|break|bit)\b)"
    rf"|(?P<e>(?:{_NAMED})(?:\s+\d)?(?!\w))"
    r"|(?P<f>[A-F][1-4]?)(?=[:.(]|\s*$|\s+\(|\s+(?:x\s?\d|\d\s?x|twice)\s*$)"
    r"|(?P<g>I{1,3}|IV|V)(?=[:.])"
    rf"|\((?P<h>[A-F][1-4]?)\)|\((?P<i>(?:{_NAMED})(?:\s+\d)?)\)"
    r")(?:\s*[:.])?(?:\s*(?P<rest>\([^)]*\)|(?<=\s)(?:x\s?\d|\d\s?x|(?:play\s+)?twice)))?"
    r"(?:\s*[:.]|\s+-{1,2}\s+(?P<tail>[^-|\d][^-|]{1,30})|,\s+(?P<more>\w.{1,40}))?\s*$",
    re.IGNORECASE,
)


# "--- A part ---", "*B*": signs on both sides of a few words; "## B" on one.
_DRESSED = re.compile(
    r"\s*(?:#\s+)?[-*=~_#<]{1,8} ?(?P<inside>[^\s\-*=~_#<>](?:[^\-*=~_#<>]|(?<=\w)-(?=\w)){0,30})"
    r" ?[-*=~_#>]{1,60}\s*"
    r"|\s*#{1,4}\s+(?P<headed>\S.{0,40})"
)


# "[Verse]   chords: D / G / A7 / D"
_BRACKETED = re.compile(r"\s*\[(?P<name>[A-Za-z][\w ]{0,20})\]\s{2,}(?P<rest>[^|]+)$")


def undressed_name(text: str) -> str | None:
    """The words between signs that make a heading of them, or None if there are no such signs."""
    dressed = _DRESSED.fullmatch(text)
    return (dressed["inside"] or dressed["headed"]).strip() if dressed else None


_BELONGS = re.compile(r"(?:of|with|without|in|on|from|for|by)\s", re.IGNORECASE)


def read_section(line: Line) -> tuple[str, str] | None:
    """The section name on a line (``A part``, ``[B]``, ``Chorus``) and the words after it
    (``Second strain. Play it softly.``), or None."""
    inside = undressed_name(line.text)
    if inside is not None:
        return read_section(replace(line, text=inside)) if not inside.startswith("#") else None
    match = _SECTION.match(line.text)
    if match is None and (bracketed := _BRACKETED.match(line.text)):
        return bracketed["name"], bracketed["rest"].strip()
    if match is None:
        name, stop, rest = line.text.partition(". ")
        if not stop or not (found := read_section(replace(line, text=name))):
            return None
        return found[0], rest.strip()
    letters = match["f"] or match["g"] or match["h"]
    if letters and not letters.isupper():
        return None
    which = next(g for g in "abcdefghi" if match[g])
    name, said, tail = match[which], match["rest"], match["tail"] or ""
    if (tail or match["more"]) and which not in "bcd" and (heads_words(name) or letters):
        return None
    if said:
        name = f"{name} {said if said.startswith('(') else f'({said})'}"
    more = (match["more"] or "").strip()
    if _BELONGS.match(more):  # "A part, of seven measures" is all name
        return f"{name}, {more}", ""
    return f"{name} - {tail.strip()}" if tail else name, more


_INTRODUCED = rare(
    rf"\b(?P<name>{_WHICH}\s+(?:part|strain|half|section|version)|(?-i:[A-D])[ -]part"
    r"|(?:part|teil|partie|parte|deel)\s+(?-i:[A-D])"
    r"|chorus|verse|refrain|coda|intro|ending|tag|bridge)\b",
    re.IGNORECASE,
)


_LEADS_ON = rare(
    r"\W*(?P<on>(?:(?:and|then|now|next|here(?:'s|\s+(?:is|comes))?|comes)\s+)*)"
    rf"(?:(?:the|my)\s+)?(?P<name>(?:{_WHICH}|[\w-]+)\s+(?:part|strain|half|section))"
    r"(?P<verb>(?:\s+(?:is|goes|comes|runs|starts|begins|now|next|like\s+this))*)\W*$",
    re.IGNORECASE,
    cues=("part", "strain", "half", "section"),
)


def leads_on_to(text: str) -> str | None:
    """The section that a few words lead on to (``and then the roll part``, ``second part is``),
    or None. They stand right before its rows."""
    match = _LEADS_ON.match(text)
    return match["name"] if match and (match["on"] or match["verb"]) else None


# "Fancy version, with the roll put back in:"
_A_VERSION = rare(
    r"\W*(?:(?:now\s+)?the\s+)?(?P<name>(?-i:[A-Z])[\w-]+\s+(?:version|variation|part|strain|half|break))"
    r"(?:\W|\s+(?:with|for|as|in)\b)",
    re.IGNORECASE,
    cues=("version", "variation", "part", "strain", "half", "break"),
)


def introduced(text: str) -> str | None:
    """The section that a sentence with a colon introduces (``And then the high part, which I
    only play once:``), or None."""
    if not text.rstrip().endswith(":"):
        return None
    found = [m["name"] for m in _INTRODUCED.finditer(text)]
    if not found and (match := _A_VERSION.match(text)):
        return match["name"]
    return found[0] if len(found) == 1 else None


_VERSE = re.compile(r"\s*\[?(?:verse|chorus|refrain)\b", re.IGNORECASE)


def heads_words(text: str) -> bool:
    """True if a section is one of a song: words right under its name are its text."""
    return _VERSE.match(text) is not None
