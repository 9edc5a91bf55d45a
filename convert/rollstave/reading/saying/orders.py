"""What words say of the order of play: parts, how often each, jumps, endings."""

from __future__ import annotations

from rollstave.reading.saying.groups import Groups, count, words
from rollstave.vocabulary.spoken import CLASSES

_WHICH = {1: "A", 2: "B", 3: "C", 4: "D"}


def _part(groups: Groups, of: str) -> str | None:
    """The part that tokens name: a letter, or its name."""
    for name in ("a", "b", "c"):
        if token := groups.get(of + name):
            letter = token[0].text[0].upper()
            return letter if letter in "ABCDEF" else None
    if token := groups.get(of + "o"):
        if isinstance(token[0].value, int):
            return _WHICH.get(token[0].value)
        return token[0].low
    if token := groups.get(of + "q"):
        return token[0].low
    return None


def _times(groups: Groups, of: str) -> tuple[str, int] | None:
    name, times = _part(groups, of), count(groups, of + "n", of + "n2")
    return (name, times) if name and times and times < 10 else None


def order(groups: Groups, text: str) -> object:
    if "letters" in groups:
        typed = (t.text for t in groups["letters"] if t.text.isalpha())
        letters = [c for text in typed for c in text.upper()]
        first = list(dict.fromkeys(letters))
        if first != list("ABCDEF"[: len(first)]) or not 1 < len(first) < len(letters):
            return None
        return tuple((letter, 1) for letter in letters)
    found = [_times(groups, of) for of in "xyz" if any(n[0] == of for n in groups)]
    if len(found) < 2 or None in found:
        return None
    return tuple(pair for pair in found if pair is not None)


def repeat(groups: Groups, text: str) -> object:
    if "all" in groups:
        times = count(groups, "xn", "xn2")
        return (("all", times),) if times and 1 < times < 10 else None
    one = _times(groups, "x")
    if "xo" in groups and "xp" not in groups:
        return None  # "the first four you play twice"
    if "yn" in groups and one:
        other = _times(groups, "y")
        return (one, other) if other else None
    return (one,) if one and one[1] > 1 else None


_AL = {"fine": " al Fine", "coda": " al Coda"}


def jump(groups: Groups, text: str) -> object:
    if "letter" in groups:
        first, second = groups["letter"][0].low, groups["to"][0].low
        typed = text[groups["letter"][0].start : groups["to"][0].end + 1]
        if first != "d" or second not in ("c", "s") or "." not in typed:
            return None
        after = text[groups["to"][0].end :].lower().split()
        al = next((_AL[w.strip(".,!")] for w in after[:4] if w.strip(".,!") in _AL), "")
        return f"D.{second.upper()}.{al}"
    for da, to in (("da", "capo"), ("da2", "capo2")):
        if da in groups:
            if (groups[da][0].low, groups[to][0].low) not in (("da", "capo"), ("dal", "segno")):
                return None
            al = _AL.get(groups["al"][0].low, "") if "al" in groups else ""
            return ("D.C." if groups[da][0].low == "da" else "D.S.") + al
    return "D.C."


def ending(groups: Groups, text: str) -> object:
    if "finish" in groups:
        return "last"
    token = next(groups[n] for n in ("n", "n2") if n in groups)[0]
    if token.code == CLASSES["LAST"][0]:
        return "last"
    return str(token.value) if token.value in (1, 2, 3) else None


def section(groups: Groups, text: str) -> object:
    return words(groups["name"], text)
