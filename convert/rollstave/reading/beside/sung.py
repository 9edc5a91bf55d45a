"""Words to sing under a system: how they are spread out, and their syllables."""

from __future__ import annotations

import re

from rollstave.reading.beside.line_words import Word, words
from rollstave.reading.page.decode import Line


def is_spread(line: Line) -> bool:
    """True for words that are spread out over notes: wide gaps between them, or hyphens."""
    text = line.text.strip()
    gaps = len(re.findall(r"\S {2,}(?=\S)", text)) + len(re.findall(r"\w- +\w", text))
    return gaps > 1 and any(c.isalpha() for c in text)


def lyrics(line: Line) -> list[Word]:
    """The syllables of a line of lyrics: words, and the syllables of a word that hyphens divide."""
    found: list[Word] = []
    for word in words(line.text):
        if word.text.strip("-_") == "":
            continue
        for syllable in re.finditer(r"[^-]+-?", word.text):
            found.append(Word(syllable[0], word.start + syllable.start()))
    return found
