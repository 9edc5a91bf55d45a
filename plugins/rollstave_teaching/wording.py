"""Words: strings and frets, measures, lists, numbers, as a teacher says them."""

from __future__ import annotations

from collections.abc import Sequence

_NUMBERS = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"]


def listed(words: Sequence[str], last: str = "and") -> str:
    """``a, b and c``."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def place(string: int, fret: int | None) -> str:
    """``string 4, fret 2``, ``string 4 open``."""
    return f"string {string}, fret {fret}" if fret else f"string {string} open"


def numbered(numbers: Sequence[int]) -> str:
    """``measure 8``, ``measures 8, 16 and 24``, ``measures 1 to 4``; the pickup by its name."""
    full = [n for n in numbers if n]
    words = []
    for first, last in _runs(full):
        if last > first + 1:
            words.append(f"{first} to {last}")
        else:
            words += [str(number) for number in range(first, last + 1)]
    named = f"measure{'s' * (len(full) > 1)} {listed(words)}" if full else ""
    return listed([w for w in ("the pickup" if len(full) < len(numbers) else "", named) if w])


def _runs(numbers: Sequence[int]) -> list[tuple[int, int]]:
    runs: list[tuple[int, int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], number)
        else:
            runs.append((number, number))
    return runs


def times(count: int) -> str:
    """``once``, ``twice``, ``five times``."""
    return {1: "once", 2: "twice"}.get(count, f"{in_words(count)} times")


def in_words(count: int) -> str:
    """Small numbers in letters."""
    return _NUMBERS[count] if 0 <= count < len(_NUMBERS) else str(count)


def capital(words: str) -> str:
    """The first letter large."""
    return words[:1].upper() + words[1:]


def sentence(words: str) -> str:
    """The first letter large, a full stop at the end."""
    return capital(words) + ("" if words.endswith((".", "!", "?")) else ".")
