"""Lines of the striking hand: letters of fingers, ways of strokes, words of brush and pinch."""

from __future__ import annotations

import re
from collections.abc import Iterable

from rollstave.reading.beside.line_words import Word, bare, remembered, words
from rollstave.vocabulary.hands import FINGERS, STROKES

# What the fingers of the picking hand are called, and the letters of the score for it; a line must
# have those that are named third, which no line of words or counts has.
_GUITAR = "".join(row.guitar for row in FINGERS)
_LETTERS = "".join(row.letter for row in FINGERS)
_TO_LETTERS = str.maketrans(_GUITAR + _GUITAR.upper(), 2 * _LETTERS)
_HANDS: tuple[tuple[re.Pattern[str], dict[int, int], str], ...] = (
    (re.compile(r"[TIMtim]+"), {}, ""),
    (re.compile(rf"[{_GUITAR}]+|[{_GUITAR.upper()}]+"), _TO_LETTERS, "pP"),
    (re.compile(r"[Tt12]+"), str.maketrans("12", "IM"), "Tt"),
)
# The guitar's letters without its thumb, each by itself.
_WITHOUT_THUMB = re.compile(
    rf"(?=.*[ac])(?=.*[im])\s*(?:[{_GUITAR[1:]}]\s+){{2,}}[{_GUITAR[1:]}]\s*"
)


_PINCH = re.compile(r"\([A-Za-z12]{2,3}\)|[A-Za-z12](?:[+/&][A-Za-z12]){1,2}")


def _pinched(word: Word) -> Word:
    """``(TM)``, ``T+M`` and ``T/M`` are ``TM``."""
    if not _PINCH.fullmatch(word.text):
        return word
    return Word(re.sub(r"\W", "", word.text), word.start + word.text.startswith("("))


@remembered
def picking(text: str) -> list[Word] | None:
    """Picking letters; letters of a pinch may be typed together (``TM``)."""
    plain = bare(text).replace("-", " ").replace(".", " ")
    found = [_pinched(w) for w in words(plain)]
    for pattern, names, needed in _HANDS if found else ():
        if all(pattern.fullmatch(w.text) for w in found):
            few = len(found) < 2 and len(found[0].text) <= _PINCHED
            has = any(c in needed for w in found for c in w.text)
            if needed and (few or not has) and not _WITHOUT_THUMB.fullmatch(plain):
                return None
            return _letter_each(Word(w.text.translate(names), w.start) for w in found)
    return None


_PINCHED = 3  # letters of a pinch


@remembered
def labelled_picking(text: str) -> list[Word] | None:
    """The letters of a line that says what it is: all that a hand has."""
    found = [_pinched(w) for w in words(bare(text).replace("-", " ").replace(".", " "))]
    if found and all(set(w.text) <= _ALL_LETTERS for w in found):
        return _letter_each(Word(w.text.translate(_TO_LETTERS), w.start) for w in found)
    return None


_ALL_LETTERS = frozenset(_GUITAR + _GUITAR.upper() + "Tt")


def _letter_each(typed: Iterable[Word]) -> list[Word]:
    """The letters one by one, but those of a pinch."""
    found = list(typed)
    result = []
    for word in found:
        pinch = 1 < len(word.text) <= _PINCHED and len(set(word.text.upper())) == len(word.text)
        if pinch and all(len(w.text) <= _PINCHED for w in found):
            result.append(Word(word.text.upper(), word.start))
        else:
            result.extend(
                Word(char.upper(), word.start + offset) for offset, char in enumerate(word.text)
            )
    return result


# What is struck together is a brush by these words and arrows, and else a pinch.
_BRUSHES = ("brush", "br", "strum")
_ARROWS = "↑↓v^"
_STROKES = {s: row.sign for row in STROKES for s in (row.sign, row.arrow)}
_BRUSHING = "".join(row.arrow for row in STROKES)
_HAND_WORDS = re.compile(
    rf"(?:(?:{'|'.join(_BRUSHES)}|pinch|pi?n)\.?)(?!\w)|[{_ARROWS}](?!\S)", re.IGNORECASE
)


def is_brush(text: str) -> bool:
    """True for a word or sign of the striking hand that is a brush."""
    return text.lower() in (*_BRUSHES, *_ARROWS)


def is_arrow(text: str) -> bool:
    """True for a sign of the way in which something is struck."""
    return text in _ARROWS


def brushes(text: str) -> bool:
    """True for a sign of the way of a stroke that brushes the strings."""
    return text in _BRUSHING


@remembered
def strokes(text: str) -> list[Word] | None:
    """Signs of the way in which the hand strikes, as ``stroke_signs`` has put them."""
    found = words(bare(text).replace("-", " ").replace(".", " "))
    if not found or not all(set(w.text) <= _STROKES.keys() for w in found):
        return None
    return [Word(char, w.start + i) for w in found for i, char in enumerate(w.text)]


@remembered
def hand(text: str) -> list[Word] | None:
    """Words and signs that say how strings are struck together: brush, pinch, arrows."""
    text = bare(text)
    found = [Word(m[0].rstrip("."), m.start()) for m in _HAND_WORDS.finditer(text)]
    return found if found and not _HAND_WORDS.sub("", text).strip(" .-") else None
