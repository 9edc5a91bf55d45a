"""Changes of tabs and of MusicXML files that keep most of their structure, for ``attack.py``."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

from lxml import etree

# Tabs ------------------------------------------------------------------------------------------

_SIGNS = "|:-=~hpsbtx/\\()<>{}[]*.0123456789 ^TIM#b'\"\t┃─é\u202e\u200b"
_WORDS = (
    *("To Coda", "Coda", "Segno", "D.S. al Coda", "D.C. al Fine", "Fine", "Repeat", "x3"),
    *("[A part]", "A part again", "Title: Tide", "Time: 6/8", "Time: cut time", "Tempo: 90"),
    *("Capo: 2", "Fifth string: raised to A", "Tuning: gCGBE", "Tuning: double C", "Key: Em"),
    *("[1", "[2.", "1.", "G  D7  Em", "1 + 2 + 3 + 4 +", "T I M T", "la la-la la", "* = muted"),
    *("Instrument: guitar", "Instrument: mandolin", "> ", "<b>", "&lt;", "=20", "1 e & a"),
)


def _lines(text: str) -> list[str]:
    return text.split("\n")


def _exchange(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    a, b = choose.randrange(len(lines)), choose.randrange(len(lines))
    lines[a], lines[b] = lines[b], lines[a]


def _from_another(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    start = choose.randrange(len(other))
    at = choose.randrange(len(lines))
    lines[at:at] = other[start : start + choose.randint(1, 8)]


def _cut_columns(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    first = choose.randrange(len(lines))
    column, width = choose.randrange(40), choose.randint(1, 12)
    for index in range(first, min(len(lines), first + choose.randint(1, 8))):
        lines[index] = lines[index][:column] + lines[index][column + width :]


def _add_columns(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    first = choose.randrange(len(lines))
    column, sign = choose.randrange(40), choose.choice(_SIGNS)
    for index in range(first, min(len(lines), first + choose.randint(1, 6))):
        lines[index] = lines[index][:column] + sign + lines[index][column:]


def _character(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    at = choose.randrange(len(lines))
    if lines[at]:
        column = choose.randrange(len(lines[at]))
        lines[at] = lines[at][:column] + choose.choice(_SIGNS) + lines[at][column + 1 :]


def _repeat_block(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    start = choose.randrange(len(lines))
    block = lines[start : start + choose.randint(1, 9)]
    lines[start:start] = block * choose.choice((1, 1, 2, 5))


def _leave_out(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    if len(lines) > 2:
        start = choose.randrange(len(lines))
        del lines[start : start + choose.randint(1, 3)]


def _words(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    lines.insert(choose.randrange(len(lines) + 1), choose.choice(_WORDS))


def _words_beside(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    at = choose.randrange(len(lines))
    lines[at] = " " * choose.randrange(30) + choose.choice(_WORDS) + lines[at]


def _shift(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    at = choose.randrange(len(lines))
    lines[at] = " " * choose.randint(1, 9) + lines[at]


def _front(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    front = choose.choice(("> ", "| ", "  ", "\t", "1. ", "# "))
    lines[:] = [front + line for line in lines]


TEXT_CHANGES = (
    *(_exchange, _from_another, _cut_columns, _add_columns, _character, _character, _character),
    *(_repeat_block, _leave_out, _words, _words, _words_beside, _shift, _front),
)
_ENCODINGS = ("utf-8",) * 8 + ("cp1252", "utf-16", "utf-8-sig", "latin-1", "cp437")


def changed_text(choose: random.Random, seeds: Sequence[str]) -> bytes:
    """A tab with one to six changes, as bytes of some encoding."""
    lines, other = _lines(choose.choice(seeds)), _lines(choose.choice(seeds))
    for _ in range(choose.randint(1, 6)):
        choose.choice(TEXT_CHANGES)(choose, lines, other)
        lines = lines or [""]
    end = choose.choice(("\n",) * 6 + ("\r\n", "\r"))
    return end.join(lines[:400]).encode(choose.choice(_ENCODINGS), "replace")


# MusicXML --------------------------------------------------------------------------------------

# (path of an element, what it is made to say)
_SAYINGS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("duration", ("0", "1", "7", "960", "-1", "1000000", "", "1.5")),
    ("divisions", ("1", "7", "480", "0", "1000")),
    ("string", ("0", "1", "5", "6", "99", "-1", "x")),
    ("fret", ("0", "1", "24", "99", "-2", "x", "")),
    ("octave", ("0", "2", "5", "9", "10", "")),
    ("step", ("A", "H", "", "C")),
    ("alter", ("-1", "0.5", "3", "1")),
    ("beats", ("3", "0", "17", "3+2", "")),
    ("beat-type", ("8", "3", "0", "2")),
    ("fifths", ("-9", "3", "7", "x")),
    ("mode", ("minor", "dorian", "")),
    ("staff", ("1", "2", "3", "")),
    ("voice", ("1", "5", "9")),
    ("per-minute", ("0", "1", "100000", "c. 90", "92.5")),
    ("staves", ("1", "2", "9")),
    ("capo", ("1", "12", "40", "-1")),
    ("tuning-octave", ("0", "2", "6", "11")),
    ("tuning-step", ("C", "B", "H")),
    ("kind", ("none", "minor", "strange")),
    ("words", ("D.C. al Coda", "To Coda", "Fine", "slow", "")),
    ("work-title", ("", "a | b", "Title: x", "--0--")),
    ("text", ("", "la-", "--", "a b")),
)
_ATTRIBUTES: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("ending", "number", ("1", "2", "1,2", "x", "")),
    ("ending", "type", ("start", "stop", "discontinue")),
    ("repeat", "direction", ("forward", "backward", "up")),
    ("repeat", "times", ("0", "3", "1000", "x")),
    ("measure", "number", ("0", "X1", "1", "")),
    ("measure", "implicit", ("yes", "no")),
    ("tie", "type", ("start", "stop")),
    ("slur", "type", ("start", "stop", "continue")),
)

Change = Callable[[random.Random, etree._Element], None]


def _one(choose: random.Random, root: etree._Element, path: str) -> etree._Element | None:
    found = list(root.iter(path))
    return choose.choice(found) if found else None


def _saying(path: str, values: tuple[str, ...]) -> Change:
    def change(choose: random.Random, root: etree._Element) -> None:
        if (element := _one(choose, root, path)) is not None:
            element.text = choose.choice(values)

    return change


def _attribute(path: str, name: str, values: tuple[str, ...]) -> Change:
    def change(choose: random.Random, root: etree._Element) -> None:
        if (element := _one(choose, root, path)) is not None:
            element.set(name, choose.choice(values))

    return change


def _left_out(path: str) -> Change:
    def change(choose: random.Random, root: etree._Element) -> None:
        element = _one(choose, root, path)
        if element is not None and (parent := element.getparent()) is not None:
            parent.remove(element)

    return change


def _copied(path: str) -> Change:
    def change(choose: random.Random, root: etree._Element) -> None:
        element, there = _one(choose, root, path), _one(choose, root, path)
        if element is not None and there is not None and there is not root:
            copy = etree.fromstring(etree.tostring(element, with_tail=False))
            there.addnext(copy)

    return change


def _added(path: str, xml: str) -> Change:
    def change(choose: random.Random, root: etree._Element) -> None:
        element = _one(choose, root, path)
        if element is not None:
            element.insert(choose.randrange(len(element) + 1), etree.fromstring(xml))

    return change


_LEFT_OUT = (
    *("note", "measure", "fret", "string", "pitch", "duration", "backup", "attributes", "staff"),
    *("staff-tuning", "staff-details", "barline", "type", "voice", "technical", "notehead"),
)
_COPIED = ("note", "measure", "backup", "barline", "harmony", "direction", "part", "attributes")
_ADDED = (
    ("measure", "<backup><duration>5</duration></backup>"),
    ("measure", "<forward><duration>3</duration></forward>"),
    ("note", "<chord/>"),
    ("note", "<grace/>"),
    ("note", "<notehead>x</notehead>"),
    ("measure", '<barline location="left"><ending number="2" type="start"/></barline>'),
    ("measure", '<barline location="right"><ending number="1" type="stop"/></barline>'),
    ("measure", "<direction><direction-type><segno/></direction-type></direction>"),
    (
        "measure",
        '<direction><direction-type><words>D.S.</words></direction-type><sound dalsegno="s"/>'
        "</direction>",
    ),
)
SCORE_CHANGES: tuple[Change, ...] = (
    *(_saying(path, values) for path, values in _SAYINGS),
    *(_attribute(path, name, values) for path, name, values in _ATTRIBUTES),
    *map(_left_out, _LEFT_OUT),
    *map(_copied, _COPIED),
    *(_added(path, xml) for path, xml in _ADDED),
)


def changed_score(choose: random.Random, seeds: Sequence[bytes]) -> bytes:
    """A MusicXML file with one to six changes."""
    root = etree.fromstring(choose.choice(seeds))
    for _ in range(choose.randint(1, 6)):
        choose.choice(SCORE_CHANGES)(choose, root)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8")
