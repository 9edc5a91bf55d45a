"""What fuzzing begins from: samples cut into pieces of one system and two measures, and words."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

SAMPLES = Path(__file__).parents[3] / "samples"

_ROW = re.compile(r"[A-Ga-g]?[#b]?\|")
_MEASURES = 2

HEADINGS = (
    "Title: Two Oars",
    "Tuning: gDGBD",
    "Tuning: sawmill (gDGCD)",
    "f#DF#AD tuning",
    "Key: G",
    "Key of A minor",
    "Time: 4/4",
    "Time: 6/8",
    "cut time",
    "Tempo: 96",
    "Tempo: quarter = 120",
    "Capo: 2",
    "no capo",
    "Fifth string: raised to A",
    "Fifth string: counted from its peg",
    "Composer: Larkspur Ferry school",
    "Source: the sign sheet, page 1",
    "Style: down-picked",
    "Instrument: mandolin",
    "Instrument: mountain dulcimer",
    "# Two Oars",
    "*** Two Oars ***",
    "1. Two Oars",
)

WORDS = (
    "          G                 D7/F#",
    "   1.                2.",
    "   |1.-------------|2.-----------",
    "   T T    T I T M T I T M   ",
    "   1 e & a 2 & 3 & 4 &",
    "   q  e  e  h.  e3 e3 e3",
    "   |__|  |==|  |_|_3_|  |\\ |.",
    "LH 213 1  2",
    "   Ring  the  slow   har-bour  bell",
    "A part",
    "[Chorus]",
    "Second strain. Play it softly.",
    "A part again",
    "(play 2 times)",
    "D.S. al Coda",
    "To Coda",
    "Fine",
    "𝄋",
    "h = hammer-on, p = pull-off, (n) = let ring",
    "x3",
    "Em7 N.C. Bbmaj7/D Csus4 F#m7 Ebdim7 A+ B° C5 Dweird",
    "{note: a remark}",
    "> mail quote",
    "<pre>",
    "&lt;2&gt; =20",
)

SIGNS = (
    *("-", "|", "||", "|:", ":|", ":||:", "|]", "!", "+", "=", "_", ".", " ", "\t", "\n", "\n\n"),
    *("0", "1", "2", "7", "9", "10", "12", "22", "99", "x", "X", "(2)", "<12>", "12*", "6+"),
    *("2h4", "4p2", "2s4", "2/4", "4\\2", "7b", "7^9", "5~", "/2", "2\\", "2=2", "t5", "(x)", "^"),
    *("D|", "B|", "g|", "f#|", "Bb|", "D:", "1.", "2.", "[1", "---", "-0-", "-2-", "|---|"),
    *("T", "I", "M", "&", "e", "a", "w", "h", "q", "s", "q.", "e3", "%", "N.C.", "D.C.", "al Fine"),
    *(
        "Title:",
        "Tuning:",
        "Key:",
        "Time:",
        "Capo:",
        "Tempo:",
        "Instrument:",
        "tuning",
        "4/4",
        "6/8",
    ),
    *(
        "—",
        "─",
        "│",
        "¦",
        "═",
        "♭",
        "♯",
        "\u200b",
        "\u0301",
        "\u202e",
        "\ufeff",
        "\xa0",
        "\0",
        "\x85",
    ),
    *("\u2028", "\ud800", "𝄋", "𝄌", "🪕", "<b>", "&amp;", "<!--", "]]>", "\r", "> ", "* ", "-- "),
)

SYSTEM = """\
D|-----0-------0---|-----2-------2---|
B|---0-------1-----|---0-------1-----|
G|-0-------2-----0-|-0-------2h4-----|
D|-----------------|-----------------|
g|-------0-------0-|-------0-------0-|
"""

HEAD = "Key: G\nTime: 4/4\n\n"


def _cut(block: str) -> str:
    """A block of lines, its rows cut after two measures."""
    rows = [line for line in block.split("\n") if _ROW.match(line)]
    if not rows:
        return block
    bars = [m.start() for m in re.finditer(r"\|", rows[0])]
    end = bars[_MEASURES] + 1 if len(bars) > _MEASURES else None
    return "\n".join(line[:end] for line in block.split("\n"))


@cache
def pieces() -> tuple[str, ...]:
    """Small tabs: each system of each sample, cut, under two headings; some dialects; all signs."""
    from tests.reading.test_wild import DIALECTS, PLAIN
    from tests.tunes import SIGNS as EVERY_SIGN
    from tests.writing.generated import tab

    texts = [p.read_text(encoding="utf-8") for p in sorted(SAMPLES.rglob("*.txt"))]
    texts += [EVERY_SIGN, *(tab(seed) for seed in range(6))]
    found = {HEAD + SYSTEM: None}
    for text in texts:
        for block in text.split("\n\n"):
            if any(_ROW.match(line) for line in block.split("\n")):
                found[HEAD + _cut(block) + "\n"] = None
    small = PLAIN.rsplit("\n\n", 1)[0] + "\n"
    for name in sorted(DIALECTS):
        if name != "labels once":
            found[DIALECTS[name](small)] = None
    for heading in HEADINGS:
        found[f"{heading}\n{HEAD}{_cut(SYSTEM)}"] = None
    for words in WORDS:
        found[f"{HEAD}{words}\n{_cut(SYSTEM)}"] = None
        found[f"{HEAD}{_cut(SYSTEM)}{words}\n"] = None
    return tuple(found)


@cache
def lines() -> tuple[str, ...]:
    """Single lines of every kind."""
    found: dict[str, None] = dict.fromkeys((*HEADINGS, *WORDS))
    for piece in pieces():
        found |= dict.fromkeys(line for line in piece.split("\n") if line.strip())
    return tuple(found)


def encode(text: str) -> bytes:
    """Text as bytes; half a surrogate becomes three bytes that are no UTF-8."""
    return text.encode("utf-8", "surrogatepass")
