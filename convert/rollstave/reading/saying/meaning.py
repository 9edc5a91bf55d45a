"""What a fact is that words say: the values of the ways in which it is said."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from fractions import Fraction

from rollstave.pitch import parse_key
from rollstave.reading.saying import orders
from rollstave.reading.saying.groups import Groups, count, words
from rollstave.reading.saying.tokens import SPECIAL, Token
from rollstave.vocabulary.spoken import CLASSES
from rollstave.vocabulary.spoken_values import HAND_WORDS, INSTRUMENT_WORDS, MODE_WORDS, SOLFEGE

_SLOWEST_ALONE = 50  # a bare number that is a tempo
_FASTEST_WORDS = 30  # beats a minute that are no tempo
_MOST_FRET = 17
_PEG = 5
_FROM_G = {"C": 5, "D": 7, "E": 9, "F": 10, "G": 0, "A": 2, "B": 4}


def value_of(fact: str, groups: Groups, text: str) -> object:
    """The value of a fact that the tokens of some groups name, None if they name none."""
    return _VALUES[fact](groups, text)


_BEATS = {"2/4", "3/4", "4/4", "2/2", "3/2", "3/8", "6/8", "9/8", "12/8", "6/4", "5/4", "7/8"}
_OF_COUNTS = {3: "3/4", 4: "4/4", 6: "6/8"}
_OF_BEATS = {3: "3/4", 4: "4/4"}


def _time(groups: Groups, text: str) -> object:
    if "cut" in groups:
        return "2/2"
    if "common" in groups or "common2" in groups:
        return "4/4"
    if "v" in groups:
        time = str(groups["v"][0].value).replace(" ", "")
        return time if time in _BEATS else None
    if "m" in groups:
        time = f"{count(groups, 'n')}/{count(groups, 'm')}"
        return time if time in _BEATS else None
    if "duple" in groups or "duple2" in groups:
        return "2/4"
    if "triple" in groups or "triple2" in groups:
        return "3/4"
    if "two" in groups:
        return "2/4" if count(groups, "two") == 2 else None
    if "counts" in groups:
        counts = [t.value for t in groups["counts"] if t.code == SPECIAL["NUM"]]
        in_turn = counts == list(range(1, len(counts) + 1))
        return _OF_COUNTS.get(len(counts)) if in_turn else None
    if "note2" in groups:
        time = f"{count(groups, 'b2')}/{count(groups, 'note2')}"
        return time if time in _BEATS else None
    if "waltz" in groups or "waltz2" in groups:
        return "3/4"
    if "jig" in groups:
        return "6/8"
    beats = count(groups, "b") or 0
    if "note" in groups and beats:
        time = f"{beats}/{groups['note'][0].value}"
        return time if time in _BEATS else None
    return _OF_BEATS.get(beats)


def _capo(groups: Groups, text: str) -> object:
    if "no" in groups or "no2" in groups:
        return 0
    fret = count(groups, "n")
    return fret if fret is not None and fret < _MOST_FRET else None


def _fifth_capo(groups: Groups, text: str) -> object:
    if "p" in groups:
        letter = groups["p"][0].text[:1].upper()
        if letter not in _FROM_G or groups["p"][0].low not in (letter.lower(), groups["p"][0].low):
            return None
        sharp = {"#": 1, "♯": 1, "b": -1, "♭": -1}.get(groups["p"][0].text[1:2], 0)
        return _PEG + _FROM_G[letter] + sharp if len(groups["p"][0].text) <= 2 else None
    if "five" in groups and count(groups, "five") != _PEG:
        return None
    fret = count(groups, "n", "n2")
    return fret if fret is not None and _PEG < fret < _MOST_FRET else None


_BY_FIFTHS = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")


def _key(groups: Groups, text: str) -> object:
    if "sharps" in groups:
        number = count(groups, "n") or 0
        down = groups["sharps"][0].low.startswith(("flat", "bemol", "mol"))
        return _BY_FIFTHS[7 - number if down else 7 + number] if number <= 7 else None
    token = groups["k"][0]
    mode = MODE_WORDS.get(groups["m"][0].low, "") if "m" in groups else ""
    if token.code == SPECIAL["MINOR"]:
        tonic, mode = token.text[: token.text.index("m")], mode or "minor"
    elif token.low in SOLFEGE:
        if token.code != SPECIAL["SOLFEGE"] and "m" not in groups:
            return None
        tonic = SOLFEGE[token.low]
    elif token.code in (SPECIAL["PITCH"], SPECIAL["LETTER"]) or token.low == "a":
        sure = "m" in groups or "in" not in groups
        if token.text[0].islower() and not sure and token.low == "a":
            return None
        tonic = token.text[0].upper() + token.text[1:]
    else:
        return None
    if "f" in groups:
        tonic += "b" if groups["f"][0].low in ("flat", "bemol") else "#"
    if tonic[0] == "H":  # as Germans call B
        if not mode and "m" not in groups:
            return None
        tonic = "B" + tonic[1:]
    if "in" in groups and groups["in"][0].low not in ("in", "en", "im", "i", "em"):
        return None
    key = f"{tonic} {mode}".strip()
    return key if parse_key(key) else None


_NOTE_NAMES = {2: "half", 4: "quarter", 8: "eighth"}


def _tempo(groups: Groups, text: str) -> object:
    number = count(groups, "n", "n2")
    if number is None or not _FASTEST_WORDS < number < 300:
        return None
    about = groups.get("about")
    if number < _SLOWEST_ALONE and about:
        return None
    if about and about[-1].low not in _ABOUT:
        return None
    note = _NOTE_NAMES.get(count(groups, "note") or 0, "")
    dotted = "dotted " if "dot" in groups else ""
    return f"{dotted}{note} = {number}" if note else str(number)


_ABOUT_WORDS = (
    "about around ca circa approx approximately rund abuot ungefahr environ ongeveer unos at - ~ ±"
)
_ABOUT = frozenset(_ABOUT_WORDS.split())


_JOINS = frozenset(CLASSES["AND"][1].split())


def _pace(groups: Groups, text: str) -> object:
    said = words(groups["w"], text).strip(" ,.!-:")
    first, _, rest = said.partition(" ")
    if rest and first.lower() in _JOINS:
        said = rest
    return said if sum(map(str.isalpha, said)) > 2 else None


def _unit(groups: Groups, text: str) -> object:
    sign = groups.get("sign")
    if sign and sign[0].text not in ("-", "–", "—", "_"):
        return None
    columns = 1
    if "c" in groups:
        columns = count(groups, "c") or 1
    if "note" not in groups:
        return columns, Fraction(1)
    note = groups["note"][0]
    if note.code == CLASSES["BEAT"][0]:
        return columns, Fraction(count(groups, "u") or 1)
    if note.code == SPECIAL["FRACTION"]:
        over, under = (int(n) for n in str(note.value).split("/"))
        lasts = Fraction(4 * over, under) if over == 1 and under in (2, 4, 8, 16, 32) else None
    else:
        lasts = Fraction(4, note.value) if isinstance(note.value, int) else None
        before = text[: note.start].rstrip().lower()
        if lasts == Fraction(1, 2) and before.endswith(("double", "doppel")):
            lasts = Fraction(1, 4)
    if lasts is None or not 0 < columns <= 24:
        return None
    return columns, lasts * (count(groups, "u") or 1)


def _string_order(groups: Groups, text: str) -> object:
    number = count(groups, "n", "n2")
    top = groups["side"][0].code == CLASSES["TOP"][0]
    if number is None:
        number = 5 if "n" in groups else None
    if number is None or not 0 < number < 9:
        return None
    return number, top


def _retuned(groups: Groups, text: str) -> object:
    number = count(groups, "n")
    letter = groups["p"][0].text
    if letter[0] not in "ABCDEFG" and groups["p"][0].low != "a":
        return None
    flat = "f" in groups and ("b" if groups["f"][0].low in ("flat", "bemol") else "#")
    return number or 0, letter[0].upper() + letter[1:] + (flat or "")


def _tuning(groups: Groups, text: str) -> object:
    if "letters" in groups:
        letters = [t for t in groups["letters"] if t.text[0].isalpha()]
        if any(len(t.text) > 2 or t.low[0] not in "abcdefgh" for t in letters):
            return None
        spelled = " ".join(t.text for t in letters).replace("H", "B")
        first_low = letters[0].text.islower()
        order = [t.text for t in letters]
        if not first_low and set(order) <= set("ABCD") and order[0] == "A":
            return None  # an order of parts
        return spelled
    if "compact" in groups:
        return groups["compact"][0].text
    return words(groups["name"], text)


_SMALL_WORDS = "mac van von de del der den di da la le the of o' mc"
_SMALL = frozenset(_SMALL_WORDS.split())


def _source(groups: Groups, text: str) -> object:
    """A name: words with capitals, and what is between them."""
    if "after" in groups and groups["after"][0].low not in ("after", "nach", "d'apres", "naar"):
        return None
    tokens = list(groups["name"])
    start = next((i for i, t in enumerate(tokens) if t.text[0].isupper()), None)
    if start is None or start > 3:
        return None
    end = start
    for index in range(start, len(tokens)):
        token = tokens[index]
        initial = token.low == "." and index and len(tokens[index - 1].text) <= 3
        joins = token.low in ("-", "&", "'") and index + 1 < len(tokens)
        if token.text[0].isupper():
            end = index + 1
        elif not (initial or joins or token.low in _SMALL):
            break
        elif initial:
            end = index + 1
    said = words(tokens[start:end], text).rstrip(" .,-")
    return said if sum(map(str.isalpha, said)) > 2 else None


def _instrument(groups: Groups, text: str) -> object:
    for token in groups["i"]:
        if found := INSTRUMENT_WORDS.get(token.low):
            return found
    return None


_BRACKETS = ("paren", "bracket", "klammer", "haakje", "parenthes", "corchete")


def _legend(groups: Groups, text: str) -> object:
    if "brackets" in groups:
        word = groups["brackets"][0].low
        return ("()", str(groups["t"][0].value)) if word.startswith(_BRACKETS) else None
    if "open" in groups:
        around = groups["open"][0].text + groups["close"][0].text
        return (around, str(groups["t"][0].value)) if around in ("()", "[]", "<>") else None
    if "hands" in groups:
        signs = [t.text for t in groups["signs"] if len(t.text) == 1 and t.text.isalpha()]
        hands = [HAND_WORDS[t.low] for t in groups["hands"] if t.low in HAND_WORDS]
        return tuple(zip(signs, hands, strict=False)) if len(signs) >= len(hands) else None
    sign, means = groups["s"][0], groups["t"][0]
    if len(sign.text) == 1 and (
        sign.text in "=:.,|)("
        or (sign.text in "<>" and re.search(r"<\S+>", text))  # half of a pair round a fret
    ):
        return None
    if any(char.isdecimal() for char in text[sign.end : means.start]):
        return None  # "#2 Hammer-ons" is the second of a list
    if means.low in HAND_WORDS:
        return _bare(sign), HAND_WORDS[means.low]
    return (_bare(sign), str(means.value)) if len(_bare(sign)) <= 3 else None


_VALUES: Mapping[str, Callable[[Groups, str], object]] = {
    "time": _time,
    "capo": _capo,
    "fifth_capo": _fifth_capo,
    "key": _key,
    "tempo": _tempo,
    "pace": _pace,
    "unit": _unit,
    "order": orders.order,
    "repeat": orders.repeat,
    "jump": orders.jump,
    "ending": orders.ending,
    "section": orders.section,
    "string_order": _string_order,
    "retuned": _retuned,
    "tuning": _tuning,
    "source": _source,
    "instrument": _instrument,
    "legend": _legend,
}


def _bare(sign: Token) -> str:
    """A sign without what makes many of it: ``the h's``."""
    return sign.text[0] if sign.text[1:2] in ("'", "’") else sign.text
