"""Lines over and under a system: what they hold, and which column each word stands at.

``CLASSIFIERS`` tells each kind; ``ABOVE`` and ``BELOW`` are the kinds of a line there, in order.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from rollstave.grid.typed import LineKind
from rollstave.patterns import rare
from rollstave.reading.beside import hand_lines
from rollstave.reading.beside.half_beats import are_none, with_ands
from rollstave.reading.beside.line_words import (
    Classifier,
    Table,
    Word,
    bare,
    remembered,
    words,
)
from rollstave.reading.beside.spoken_counts import with_figures
from rollstave.reading.beside.stems import stems_of
from rollstave.reading.beside.voice_times import times_of_voice
from rollstave.reading.page.decode import Line

_ROOT = r"[A-G](?:#|b|♯|♭)?"
CHORD = re.compile(
    rf"\(?(?:{_ROOT}"
    r"(?:maj|min|dim|aug|sus|add|m|M|mi|ma|o|°|ø|Δ|\+|-|6/9|\d|[b♭#♯]\d|\(|\))*"
    rf"(?:/{_ROOT})?|N\.?C\.?)\)?$"
)
# Endings in words; the number stands in their place.
_ENDING_WORDS = rare(
    r"[(\[]?\b(?:(?:the\s)?(?P<number>first|second|third|fourth|(?:1st|2nd|3rd|4th)\.?|[1-4]°|[1-4]\.)\s"
    r"(?:ending|end|time|pass|x)(?:\sbar)?\b"
    r"|(?P<other>[1-4])(?:[.ªº°]|i?[eè]?re|er|[eè]?(?:me)?|[aoe]|ra|da|st)?\s?(?:mal|fois|vez|volta|keer)\b"
    r"|(?:ending|end|time|pass|volta)\s(?P<after>[1-4]|one|two|three|four)\b)[:.]?[)\]]?[:.]?",
    re.IGNORECASE,
    cues=("end", "time", "pass", "volta", "x", "mal", "fois", "vez", "keer"),
)
_ENDING_NUMBERS = {
    **{"first": "1.", "second": "2.", "third": "3.", "fourth": "4."},
    **{"one": "1.", "two": "2.", "three": "3.", "four": "4."},
}
_ENDING = re.compile(
    r"[|\[(/]?-?(?P<number>\d(?:\s?[,-]\s?\d)*)(?!\d)(?:st|nd|rd|th)?[.)\]:>]{0,2}[_\-. ]*[|\]]?"
)
_FIGURE = re.compile(r"\d")
_COUNT_WORDS = re.compile(
    r"\d{1,2}|[&+]|and|ee?|uh|a|trip?|p?let|la|lee|li|ti|n|(?<![a-z])[tl](?![a-z])", re.IGNORECASE
)
_DURATION = re.compile(r"[whqestWHQEST](\.{0,2}|3)(\+[whqest](\.{0,2}|3))*$")
# A rest among letters of durations: (q), [e.]
_SILENT = rare(
    r"[(\[]\s?(?P<letter>[whqest]\.{0,2})\s?[)\]]"
    r"|(?<!\S)(?P<rest>[whqest]\.{0,2})r(?!\S)",
    re.IGNORECASE,
    cues=("(", "[", "r"),
)
_LETTER = rare(r"[whqest](?:\.{1,2}|3)?", re.IGNORECASE)
_RUN = re.compile(r"(?:[whqest](?:\.{1,2}|3)?){2,}", re.IGNORECASE)

_LEFT = ("lh", "l.h.", "left hand", "fingers")
_LEFT_HAND = rare(rf"\s*(?:{'|'.join(map(re.escape, _LEFT))})\s*:?(?=[\s|\d])", re.I, cues=_LEFT)


# Qualities typed as words of their own, and what they are in a name.
_QUALITY = rare(
    rf"(?P<root>(?<!\S){_ROOT})\s(?P<words>major|minor|maj|min|7th)\b", cues=("maj", "min", "7th")
)
_QUALITIES = {"major": "", "maj": "", "minor": "m", "min": "m", "7th": "7"}
_BEATS = ("/", "//", "///", "////", ".", "%")  # beats on which a chord goes on


# What people put around the names of chords: *G*, "G", <G>, {G}, G:, G chord.
_CHORD_DRESS = '*"<>{}:,;'
_DRESSED = rare(r"[*\"<>{}]|(?<=\S)[:,;](?=\s|$)|\bchord\b")


def _quality(match: re.Match[str]) -> str:
    return (match["root"] + _QUALITIES[match["words"]]).ljust(len(match[0]))


@remembered
def _chords(text: str) -> list[Word] | None:
    text = _QUALITY.sub(_quality, bare(text))
    if any(char in text for char in _CHORD_DRESS) or "chord" in text:
        text = _DRESSED.sub(lambda m: " " * len(m[0]), text)
    drawn = "--" in text  # a chord goes on over its measures: G------C---
    found = words(text.replace("-", " ") if drawn else text)
    found = _without_numbers(found)
    names = [w for w in found if w.text not in _BEATS]
    if not names or names[0] is not found[0] or (drawn and len(names) < 2):
        return None
    if len(names) > 1:  # a lone name in square brackets is a section's
        names = [
            Word(w.text[1:-1], w.start + 1) if w.text[0] + w.text[-1] == "[]" else w for w in names
        ]
    if not all(CHORD.match(w.text) for w in names):
        return None
    return [Word(w.text.strip("()"), w.start + w.text.startswith("(")) for w in names]


def _without_numbers(found: list[Word]) -> list[Word]:
    """The words of a line without the numbers of measures that stand before names of chords:
    ``5 Gm   6   7 F``."""
    numbers = [int(w.text) for w in found if w.text.isdecimal()]
    counts_on = len(numbers) > 1 and numbers == list(range(numbers[0], numbers[0] + len(numbers)))
    others = [w for w in found if not w.text.isdecimal()]
    told = counts_on and any(len(w.text) > 1 or w.text not in "AE" for w in others)
    return others if told else found


def _ending_number(match: re.Match[str]) -> str:
    number = (match["number"] or match["after"] or match["other"]).lower()
    return _ENDING_NUMBERS.get(number, f"{number[0]}.").ljust(len(match[0]))


# "1. (measures 15 and 16)"
_WHICH_MEASURES = rare(
    r"(?<=[\d.):\]])\s+[(\[](?:(?:bars?|measures?|meas\.?|mm?\.?)\s+\d[^)\]]*)[)\]]",
    re.IGNORECASE,
    cues=("bar", "m"),
)


def with_endings_in_figures(text: str) -> str:
    """A line with ``1.`` for ``(1st time)``, in the same columns."""
    return _ENDING_WORDS.sub(_ending_number, text)


@remembered
def _endings(text: str) -> list[Word] | None:
    text = _WHICH_MEASURES.sub(lambda m: " " * len(m[0]), text)
    text = with_endings_in_figures(text)
    if not _FIGURE.search(text):
        return None
    endings = list(_ENDING.finditer(text))
    rest = _ENDING.sub("", text)
    if not endings or rest.strip(" _-|.:]") or not re.search(r"[.\[_)|>/]|st|nd|\d:", text):
        return None
    found = []
    for ending in endings:
        found.append(Word(re.sub(r"\s", "", ending["number"]), ending.start()))
    return found


def ending_alone(line: Line, start: int) -> str:
    """The number of the ending that the words from ``start`` on are, empty if they are none: they
    stand behind a row, so a bare figure is none."""
    words = line.text[start:].strip()
    found = _endings(" " * start + line.text[start:])
    if not found or len(found) > 1 or words.rstrip(".:)]").isdigit():
        return ""
    return found[0].text


_MEASURE_NUMBER = re.compile(r"(?:#|\b(?:m|meas|bar|measure)\b\.?) ?(?=\d)", re.IGNORECASE)


# "1. A    2. E": endings, and names of chords that are letters of counts, too.
_ENDINGS_AND_CHORDS = rare(r"(?=.*[AE])(?=.*\d\.)(?:\s*(?:\d\.|[AE](?!\S)))+\s*")


@remembered
def _counts(text: str) -> list[Word] | None:
    text = with_figures(bare(text))
    if "." in text and _ENDINGS_AND_CHORDS.fullmatch(text):
        return None
    plain = _MEASURE_NUMBER.sub(lambda m: " " * len(m[0]), text)
    if plain != text and len(_MEASURE_NUMBER.findall(text)) == len(plain.split()):  # m.1   m.2
        text = plain
    text = with_ands(text, _COUNT_WORDS)
    found = [Word("&" if m[0] == "n" else m[0], m.start()) for m in _COUNT_WORDS.finditer(text)]
    left = _COUNT_WORDS.sub("", text)
    if not found or left.strip(" .-()") or are_none(text):
        return None
    pickup = len(found) < 4 and found[0].text in ("&", "+") and not left.strip()
    if not (pickup or any(w.text[0].isdigit() for w in found)):
        return None
    return found


@remembered
def _left_hand(text: str) -> list[Word] | None:
    """Finger numbers of the left hand, in a line that says so at its left end: ``LH 1 3``. A 0 is
    an open string; the numbers of a chord are typed together, the lowest row first."""
    label = _LEFT_HAND.match(text)
    if label is None:
        return None
    rest = bare(text[label.end() :]).replace("-", " ").replace(".", " ")
    found = [Word(w.text, w.start + label.end()) for w in words(rest)]
    if not found or not all(re.fullmatch(r"[0-4]{1,6}", w.text) for w in found):
        return None
    return found


# What any of these words and signs has in it, for :func:`rollstave.patterns.rare`.
JUMP_CUES = (
    *("dc", "ds", "d.", "d c", "d s", "da", "coda", "fine", "segno", "back to"),
    *("𝄋", "𝄌", "⊕", "⌖", "%", "§", "(+)"),
)
_JUMP = rare(
    r"(?:d\.? ?[cs]\.?|da\s+capo|dal\s+segno)(?:\s+al\s+(?:fine|coda))?(?![\w.])"
    r"|(?:go )?back to (?:the (?:sign|top|beginning|start)\b|(?:the )?[𝄋§])|to\s+coda\b\s*[𝄌⊕⌖]?"
    r"|(?:fine|segno|coda)\b|𝄋|𝄌|⊕|⌖|%|§|\(\+\)",
    re.IGNORECASE,
    cues=JUMP_CUES,
)


@remembered
def _jumps(text: str) -> list[Word] | None:
    """Segno, To Coda, Fine, D.S. al Coda: words and signs over or under the measure they are
    said of. A lone one at the left end may be a heading or a section, and is left to them."""
    text = bare(text)
    found = [Word(m[0].strip(), m.start()) for m in _JUMP.finditer(text)]
    if not found or _JUMP.sub("", text).strip(" .*[]()"):
        return None
    return None if len(found) == 1 and found[0].start < 2 else found


@remembered
def _durations(text: str) -> list[Word] | None:
    rests = [
        Word(f"({(m['letter'] or m['rest']).lower()})", m.start()) for m in _SILENT.finditer(text)
    ]
    if rests:
        text = _SILENT.sub(lambda m: " " * len(m[0]), text)
    found = words(bare(text))
    if not found or not found[0].text[0].isalnum():
        return None
    if any(len(w.text) > 1 and _RUN.fullmatch(w.text) for w in found):
        found = _letter_by_letter(found)
    thirds = sum(w.text == "3" for w in found)
    if thirds and not thirds % 3 and thirds < len(found):
        found = [Word("e3", w.start) if w.text == "3" else w for w in found]
    if all(_DURATION.match(w.text) for w in found):
        found = [Word(w.text.lower(), w.start) for w in found] + rests
        return sorted(found, key=lambda word: word.start)
    return None


def _letter_by_letter(found: list[Word]) -> list[Word]:
    """Letters that touch, each by itself, where most of a line stand alone or have dots between
    them, which no word has: ``e e. eee q``, ``e.s e.s q``."""
    plain = sum(_DURATION.match(w.text) is not None or "." in w.text[:-1] for w in found)
    if len(found) < 2 or 2 * plain < len(found):
        return found
    return [
        Word(m[0], w.start + m.start())
        for w in found
        for m in (_LETTER.finditer(w.text) if _RUN.fullmatch(w.text) else (re.match(".*", w.text),))
        if m is not None
    ]


@remembered
def _durations_over(text: str) -> list[Word] | None:
    """The same over a system, where a lone letter names a chord or a part."""
    found = _durations(text)
    return list(found) if found and len(found) > 1 else None


def _from_pairs(look: Callable[[str], Sequence[tuple[str, int]] | None]) -> Classifier:
    return remembered(lambda text: [Word(word, start) for word, start in look(text) or ()] or None)


CLASSIFIERS: dict[LineKind, Classifier] = {
    LineKind.LEFT_HAND: _left_hand,
    LineKind.VOICES: _from_pairs(times_of_voice),
    LineKind.STEMS: _from_pairs(stems_of),
    LineKind.ENDINGS: _endings,
    LineKind.CHORDS: _chords,
    LineKind.COUNTS: _counts,
    LineKind.PICKING: hand_lines.picking,
    LineKind.STROKES: hand_lines.strokes,
    LineKind.JUMPS: _jumps,
    LineKind.HAND: hand_lines.hand,
    LineKind.DURATIONS: _durations,
}


def _in_order(*kinds: LineKind) -> Table:
    return tuple((kind, CLASSIFIERS[kind]) for kind in kinds)


# A lone letter of a duration over a system names a chord or a part.
ABOVE = (
    *_in_order(LineKind.LEFT_HAND, LineKind.VOICES, LineKind.STROKES),
    *_in_order(LineKind.STEMS, LineKind.ENDINGS, LineKind.CHORDS),
    *_in_order(LineKind.COUNTS, LineKind.PICKING, LineKind.JUMPS, LineKind.HAND),
    (LineKind.DURATIONS, _durations_over),
)
BELOW = (
    *_in_order(LineKind.LEFT_HAND, LineKind.VOICES, LineKind.STROKES),
    *_in_order(LineKind.STEMS, LineKind.PICKING, LineKind.DURATIONS),
    *_in_order(LineKind.COUNTS, LineKind.JUMPS, LineKind.HAND),
)
CHORDS = _in_order(LineKind.CHORDS)
# What a line says of itself at its left end, and the kind of its words.
_SAYS = re.compile(
    r"\s*(?:(?P<chords>chords?)|(?P<counts>counts?|beats?)"
    r"|(?P<picking>r\.?h\.?|(?:right )?hand|pick(?:ing)?"
    r"|(?:fingers?|roll)(?=:? +[timp]\b)))\s?[:=]?\s+(?=\S)",
    re.IGNORECASE,
)
_SAID = {
    "chords": CHORDS,
    "counts": _in_order(LineKind.COUNTS),
    "picking": ((LineKind.PICKING, hand_lines.labelled_picking),),
}
_NO_WORDS = re.compile(r"[\s\-_=.*~#]*$")  # a ruler, whatever else is in the table


def says_fingers(line: Line) -> bool:
    """True for letters of the striking hand with a label that says so: ``Hand: T I M``."""
    said = _SAYS.match(line.text)
    return said is not None and said.lastgroup == "picking" and classify(line, BELOW) is not None


def classify_as(line: Line, kind: LineKind) -> Sequence[Word]:
    """The words of a line if it can be of that kind, none if not."""
    return CLASSIFIERS[kind](line.text) or ()


def classify(line: Line, table: Table) -> tuple[LineKind, Sequence[Word]] | None:
    """What a line over or under a system holds, by the table, or None."""
    text = line.text
    if _NO_WORDS.match(text):
        return None
    if said := _SAYS.match(text):
        table = _SAID[said.lastgroup or ""]
        text = " " * said.end() + text[said.end() :]
    for kind, classifier in table:
        found = classifier(text)
        if found is not None:
            return kind, found
    return None
