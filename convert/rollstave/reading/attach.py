"""Lines over and under a system: what they hold, and which column each word stands at.

``CLASSIFIERS`` is the table of kinds, tried in order.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from msgspec import Struct

from rollstave.grid.model import LineKind
from rollstave.reading.decode import Line
from rollstave.reading.stems import stems_of

_ROOT = r"[A-G](?:#|b|♯|♭)?"
CHORD = re.compile(
    rf"\(?(?:{_ROOT}"
    r"(?:maj|min|dim|aug|sus|add|m|M|mi|ma|o|°|\+|-|\d|b\d|#\d|\(|\))*"
    rf"(?:/{_ROOT})?|N\.?C\.?)\)?$"
)
_ENDING = re.compile(
    r"[|\[(]?\s*(?P<number>\d(?:\s?[,-]\s?\d)*)(?P<mark>[.)\]:]|st|nd|rd)?[_\-. |]*$"
)
_ENDING_PIECE = re.compile(r"[|\[(]?-?\d(?:\s?[,-]\s?\d)*(?:[.)\]:]|st|nd|rd)?[_\-. ]*[|\]]?")
_COUNT_WORDS = re.compile(r"\d{1,2}|[&+]|and|ee?|uh|a|trip|let|la|li|ti", re.IGNORECASE)
_DURATION = re.compile(r"[whqestWHQEST](\.{0,2}|3)(\+[whqest](\.{0,2}|3))*$")

_LEFT_HAND = re.compile(r"\s*(?:LH|L\.H\.|left hand|fingers)\s*:?(?=[\s|\d])", re.IGNORECASE)


class Word(Struct, frozen=True):
    """A word of a line and the index where it starts."""

    text: str
    start: int


def words(text: str) -> list[Word]:
    """The words of a line with their columns."""
    return [Word(m[0], m.start()) for m in re.finditer(r"\S+", text)]


_BARS = re.compile(r":?\|+:?")


def _bare(text: str) -> str:
    """A line without bar lines and repeat dots, which some typists repeat above and below the
    rows."""
    return _BARS.sub(lambda bar: " " * len(bar[0]), text)


def _chords(line: Line) -> list[Word] | None:
    found = words(_bare(line.text))
    if found and all(CHORD.match(w.text) for w in found):
        return [Word(w.text.strip("()"), w.start + w.text.startswith("(")) for w in found]
    return None


def _endings(line: Line) -> list[Word] | None:
    pieces = list(_ENDING_PIECE.finditer(line.text))
    rest = _ENDING_PIECE.sub("", line.text)
    if not pieces or rest.strip(" _-|.]") or not re.search(r"[.\[_)|]|st|nd", line.text):
        return None
    found = []
    for piece in pieces:
        number = re.sub(r"\s", "", re.search(r"\d(?:\s?[,-]\s?\d)*", piece[0])[0])  # type: ignore[index]
        found.append(Word(number, piece.start()))
    return found


def _counts(line: Line) -> list[Word] | None:
    text = _bare(line.text)
    found = [Word(m[0], m.start()) for m in _COUNT_WORDS.finditer(text)]
    left = _COUNT_WORDS.sub("", text)
    if not found or left.strip(" .-()") or not any(w.text[0].isdigit() for w in found):
        return None
    return found


def _picking(line: Line) -> list[Word] | None:
    """Picking letters; letters of a pinch may be typed together (``TM``)."""
    found = words(_bare(line.text).replace("-", " ").replace(".", " "))
    if not found or not all(re.match(r"[TIMtim]+$", w.text) for w in found):
        return None
    result = []
    for word in found:
        pinch = len(word.text) in (2, 3) and len(set(word.text.upper())) == len(word.text)
        if pinch and all(len(w.text) <= 3 for w in found):
            result.append(Word(word.text.upper(), word.start))
        else:
            result.extend(
                Word(char.upper(), word.start + offset) for offset, char in enumerate(word.text)
            )
    return result


def _left_hand(line: Line) -> list[Word] | None:
    """Finger numbers of the left hand, in a line that says so at its left end: ``LH 1 3``. A 0 is
    an open string; the numbers of a chord are typed together, the lowest row first."""
    label = _LEFT_HAND.match(line.text)
    if label is None:
        return None
    rest = _bare(line.text[label.end() :]).replace("-", " ").replace(".", " ")
    found = [Word(w.text, w.start + label.end()) for w in words(rest)]
    if not found or not all(re.fullmatch(r"[0-4]{1,6}", w.text) for w in found):
        return None
    return found


_JUMP = re.compile(
    r"(?:d\.?\s?[cs]\.?|da\s+capo|dal\s+segno)(?:\s+al\s+(?:fine|coda))?(?![\w.])"
    r"|to\s+coda\b\s*[𝄌⊕⌖]?|(?:fine|segno|coda)\b|𝄋|𝄌|⊕|⌖|%|§",
    re.IGNORECASE,
)


def _jumps(line: Line) -> list[Word] | None:
    """Segno, To Coda, Fine, D.S. al Coda: words and signs over or under the measure they are
    said of. A lone one at the left end may be a heading or a section, and is left to them."""
    text = _bare(line.text)
    found = [Word(m[0].strip(), m.start()) for m in _JUMP.finditer(text)]
    if not found or _JUMP.sub("", text).strip(" .*[]()"):
        return None
    return None if len(found) == 1 and found[0].start < 2 else found


_HAND_WORDS = re.compile(r"(?:brush|br\.?|pinch|pi?n\.?|strum)(?!\w)|[↑↓vV^](?!\S)", re.IGNORECASE)


def _hand(line: Line) -> list[Word] | None:
    """Words and signs that say how strings are struck together: brush, pinch, arrows."""
    text = _bare(line.text)
    found = [Word(m[0].rstrip("."), m.start()) for m in _HAND_WORDS.finditer(text)]
    return found if found and not _HAND_WORDS.sub("", text).strip(" .-") else None


def _durations(line: Line) -> list[Word] | None:
    found = words(_bare(line.text))
    if found and all(_DURATION.match(w.text) for w in found):
        return [Word(w.text.lower(), w.start) for w in found]
    return None


def _stems(line: Line) -> list[Word] | None:
    """Stems with the beams, flags and dots that touch them."""
    found = stems_of(line)
    return [Word(text, start) for text, start in found] if found else None


Classifier = Callable[[Line], list[Word] | None]
ABOVE: tuple[tuple[LineKind, Classifier], ...] = (
    (LineKind.LEFT_HAND, _left_hand),
    (LineKind.STEMS, _stems),
    (LineKind.ENDINGS, _endings),
    (LineKind.CHORDS, _chords),
    (LineKind.COUNTS, _counts),
    (LineKind.PICKING, _picking),
    (LineKind.JUMPS, _jumps),
    (LineKind.HAND, _hand),
)
BELOW: tuple[tuple[LineKind, Classifier], ...] = (
    (LineKind.LEFT_HAND, _left_hand),
    (LineKind.STEMS, _stems),
    (LineKind.PICKING, _picking),
    (LineKind.DURATIONS, _durations),
    (LineKind.COUNTS, _counts),
    (LineKind.JUMPS, _jumps),
    (LineKind.HAND, _hand),
)


_NO_WORDS = re.compile(r"[\s\-_=.*~#]*$")  # a ruler, whatever else is in the table


def classify(
    line: Line, table: tuple[tuple[LineKind, Classifier], ...]
) -> tuple[LineKind, list[Word]] | None:
    """What a line over or under a system holds, by the table, or None."""
    if _NO_WORDS.match(line.text):
        return None
    for kind, classifier in table:
        found = classifier(line)
        if found is not None:
            return kind, found
    return None


def remark_behind(line: Line) -> int | None:
    """Where a remark in brackets begins that stands behind letters or counts, after a gap, or
    None. Letters in brackets may be chords or fingers; a remark has words."""
    text = line.text.rstrip()
    start = text.rfind("(")
    if start < 3 or not text.endswith(")") or text[start - 2 : start].strip():
        return None
    return start if any(len(word) > 3 for word in text[start + 1 : -1].split()) else None


def lyrics(line: Line) -> list[Word]:
    """The syllables of a line of lyrics: words, and the parts of a word that hyphens divide."""
    found: list[Word] = []
    for word in words(line.text):
        if word.text.strip("-_") == "":
            continue
        for part in re.finditer(r"[^-]+-?", word.text):
            found.append(Word(part[0], word.start + part.start()))
    return found
