"""Fifty invented tabs with everything a sheet can carry, from fixed seeds."""

from __future__ import annotations

import random

_CHORDS = ("G", "C", "D7", "Em", "F#m7", "Bb", "Gmaj7/B", "Csus4", "Ebdim7", "A")
_TUNINGS = ("gDGBD", "gCGBD", "gDGCD", "gCGCD", "f#DF#AD")
_SECTIONS = ("A part", "B part", "Chorus", "Second strain, a little slower than the first")
_SYLLABLES = ("oh", "long", "har-", "bour", "straight", "a", "through,", "wind")
_STEPS = 8


def tab(seed: int) -> str:
    """One tab of 8 to 24 measures; the same seed gives the same text."""
    choose = random.Random(seed)
    title = " ".join(choose.choices(("Ferry", "Larkspur", "Lantern", "Gate", "Tin", "Willow"), k=3))
    if seed % 10 == 0:
        title = " ".join([title] * 4)
    lines = [
        f"Title: {title}",
        f"Tuning: {choose.choice(_TUNINGS)}",
        f"Key: {choose.choice(('G', 'C', 'D', 'F', 'A minor'))}",
        "Time: 4/4",
        f"Tempo: {choose.randint(60, 140)}",
        f"Source: Larkspur Ferry school, book {choose.randint(1, 9)}",
    ]
    if choose.random() < 0.3:
        lines.append(f"Capo: {choose.randint(1, 3)}")
    # Of their own, so that the rest of the tune is as it would be without them.
    small = random.Random(f"grace {seed}")
    for number in range(choose.randint(2, 6)):
        if choose.random() < 0.4:
            lines.extend(("", f"[{choose.choice(_SECTIONS)}]"))
        lines.append("")
        lines.extend(_system(choose, small, number))
    return "\n".join(lines) + "\n"


def _system(choose: random.Random, small: random.Random, number: int) -> list[str]:
    rows = [""] * 5
    over, under, words = "", "", ""
    for measure in range(4):
        cells, chords, letters, syllables = _measure(choose, number == 0 and measure == 0)
        cells = [_with_graces(small, row) for row in cells]
        bar = "|"
        rows = [row + bar + cell for row, cell in zip(rows, cells, strict=True)]
        over += " " + chords
        under += " " + letters
        words += " " + syllables
    labels = ("D", "B", "G", "D", "g")
    lines = [" " + over.rstrip()] if over.strip() else []
    lines.extend(f"{label}{row}|" for label, row in zip(labels, rows, strict=True))
    if choose.random() < 0.5:
        lines.append(" " + under.rstrip())
    elif choose.random() < 0.5:
        lines.append(" " + words.rstrip())
    return lines


def _measure(choose: random.Random, first: bool) -> tuple[list[str], str, str, str]:
    """Eight columns of three characters, so that two-digit frets and signs have room."""
    width = 3 * _STEPS + 1
    cells = [["-"] * width for _ in range(5)]
    chords, letters, syllables = ([" "] * width for _ in range(3))
    step = 0
    last: tuple[int, int] | None = None
    while step < _STEPS:
        at = 1 + 3 * step
        string = choose.randrange(5)
        fret = choose.choice((0, 2, 3, 5, 9, 10, 12)) if string < 4 else choose.choice((0, 7, 10))
        if last is not None and choose.random() < 0.2:
            string, fret = last[0], (last[1] + 2 if string < 4 else last[1])
            if last[0] < 4 and fret <= 14:
                cells[string][at - 1] = choose.choice("hps")
            else:
                string, fret = 0, 0
        for place, character in enumerate(_sign(choose, fret)):
            if at + place < width:
                cells[string][at + place] = character
        if choose.random() < 0.15:
            for other in range(4):
                if other != string:
                    cells[other][at] = "0"
        letters[at] = "TIM"[choose.randrange(3)]
        if choose.random() < 0.2 or (first and step == 0):
            _put(chords, at, choose.choice(_CHORDS))
        if choose.random() < 0.4:
            _put(syllables, at, choose.choice(_SYLLABLES))
        last = (string, fret) if string < 4 else None
        step += choose.choice((1, 1, 1, 2))
    return (
        ["".join(row) for row in cells],
        "".join(chords),
        "".join(letters),
        "".join(syllables),
    )


def _with_graces(small: random.Random, row: str) -> str:
    """Grace notes before a few notes that have room for one on their string."""
    for step in range(1, _STEPS):
        at = 1 + 3 * step
        if row[at].isdigit() and row[at - 3 : at] == "---" and small.random() < 0.12:
            row = f"{row[: at - 3]}{{{small.choice('0679')}}}{row[at:]}"
    return row


def _sign(choose: random.Random, fret: int) -> str:
    shown = str(fret)
    kind = choose.random()
    if kind < 0.04:
        return "x"
    if kind < 0.08 and len(shown) == 1:
        return f"({shown})"
    if kind < 0.12 and len(shown) == 1:
        return shown + choose.choice("b~")
    return shown


def _put(row: list[str], at: int, words: str) -> None:
    """Write words if they fit without touching others."""
    if at + len(words) + 1 < len(row) and not "".join(row[at - 1 : at + len(words) + 1]).strip():
        row[at : at + len(words)] = words
