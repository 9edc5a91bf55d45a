"""A sentence as tokens: each word with its class and what it counts or names."""

from __future__ import annotations

import re
from functools import cache, lru_cache

from msgspec import Struct

from rollstave.patterns import rare
from rollstave.vocabulary import spoken, spoken_values

# Letters without their accents, one for one, so that columns stay.
_PLAIN = str.maketrans(
    "àáâãäåąçćèéêëęìíîïłñńòóôõöøśùúûüýÿźż’‘`´“”„º",
    "aaaaaaacceeeeeiiiilnnoooooosuuuuyyzz''''\"\"\"o",
)
_TOKEN = rare(
    r"[¾¼½⅛]|(?<!\w)[bB]\.[pP]\.[mM]\b|(?<![\d/.])\d{1,2}\s?/\s?\d{1,2}(?![\d/])|(?:\d{1,2}\s?[x×]|[x×]\s?\d{1,2})(?!\w)"
    r"|(?P<ord>\d{1,2}(?:st|nd|rd|th|re|er?|eme|ste|de|a|o|ª)\b)|\d+"
    r"|[^\W\d_](?:[#♯♭](?:m(?:in)?\b)?|[^\W\d_]*(?:'[^\W\d_]+)?)|\S"
)
_PITCHES = frozenset(step + sign for step in "ABCDEFGH" for sign in ("", "#", "b", "♯", "♭"))
_ORDER = rare(r"[A-D]{2,12}$|aab+[ab]*$|aabbc+d*$")
_COMPACT = rare(r"[a-g](?:[a-gA-G][#b]?){3,5}$|[A-G]{4,6}$")
_PAIRS = dict.fromkeys("()[]{}\"'", "(") | dict.fromkeys("-–—", ";")
_FRACTIONS = {"¾": "3/4", "¼": "1/4", "½": "1/2", "⅛": "1/8"}
_SIGNS = {**dict.fromkeys(".;!?", "."), ",": ",", "=": "=", ":": "=", "|": ",", "♩": "#"}
_LONGEST = 400  # characters of a line that is looked at
OTHER = "?"
NAME = "`"
FILL = "_"
# Letters of what is no word of the lexicon: numbers, pitches, signs.
SPECIAL = {
    "NUM": "6",
    "ORD": "7",
    "TIMES": "@",
    "FRACTION": "/",
    "NOTE": "#",
    "PITCH": "~",
    "MINOR": "%",
    "LETTER": "&",
    "LETTERS": "$",
    "SOLFEGE": ">",
    "METER_WORD": "<",
    "TECHNIQUE": "!",
    "HAND": '"',
    "STOP": ".",
    "COMMA": ",",
    "EQUALS": "=",
    "RAW_SIGN": "'",
    "HYPHEN": ";",
    "PAREN": "(",
    "FILLING": FILL,
    "LOW_A": "-",
    "COMPACT": "^",
    "UNKNOWN": OTHER,
    "NAME": NAME,
}


class Token(Struct, frozen=True):
    """A word or sign: as typed, in small letters, its class, where it stands, and its value."""

    text: str
    low: str
    code: str
    start: int
    value: object = None
    typo: bool = False

    @property
    def end(self) -> int:
        return self.start + len(self.text)


@cache
def _lexicon() -> dict[str, tuple[str, object]]:
    found: dict[str, tuple[str, object]] = dict.fromkeys(spoken.FILLING, (FILL, None))
    for letter, words in spoken.CLASSES.values():
        found |= dict.fromkeys(words.split(), (letter, None))
    for table, name in (
        (spoken_values.NUMBERS, "NUM"),
        (spoken_values.TENS, "NUM"),
        (spoken_values.ORDINALS, "ORD"),
        (spoken_values.TIMES_WORDS, "TIMES"),
        (spoken_values.NOTE_WORDS, "NOTE"),
        (spoken_values.METER_WORDS, "METER_WORD"),
        (spoken_values.HAND_WORDS, "HAND"),
    ):
        found |= {word: (SPECIAL[name], value) for word, value in table.items()}
    for word, letter in spoken_values.SOLFEGE.items():
        found.setdefault(word, (SPECIAL["SOLFEGE"], letter))
    for means, words in spoken_values.TECHNIQUE_WORDS:
        found |= dict.fromkeys(words.split(), (SPECIAL["TECHNIQUE"], means))
    return found


_MANNERS = ("ly", "mente", "issimo", "erato")
_ROMAN = {"ii": 2, "iii": 3, "iv": 4, "vi": 6, "vii": 7, "ix": 9}
_LETTERS = "abcdefghijklmnopqrstuvwxyz"
_SWAPPED, _LONG = 4, 5  # letters of a word in which two are taken as exchanged, one as amiss


@lru_cache(maxsize=2048)
def _nearly(word: str) -> str:
    """The word of the lexicon that a word is with one slip of a finger, empty for none."""
    known = _lexicon()
    tries = []
    if len(word) >= _SWAPPED:
        tries += [word[:i] + word[i + 1] + word[i] + word[i + 2 :] for i in range(len(word) - 1)]
    if len(word) >= _LONG:
        tries += [word[:i] + word[i + 1 :] for i in range(len(word))]
        tries += [word[:i] + c + word[i:] for i in range(1, len(word) + 1) for c in _LETTERS]
    found = (t for t in tries if t in known and len(t) >= _SWAPPED and known[t][0] != FILL)
    return next(found, "")


def tokens_of(text: str) -> list[Token]:
    """The tokens of a line, none of one that is too long."""
    if len(text) > _LONGEST:
        return []
    low = text.lower().translate(_PLAIN)
    if len(low) != len(text):
        return []
    found = []
    for match in _TOKEN.finditer(low):
        typed = text[match.start() : match.end()]
        found.append(_token(typed, match[0], match.start(), match["ord"] is not None))
    return _joined(found)


def _token(typed: str, low: str, start: int, ordinal: bool) -> Token:
    code, value, typo = _meant(typed, low, ordinal)
    return Token(text=typed, low=low, code=code, start=start, value=value, typo=typo)


@lru_cache(maxsize=4096)  # few words and signs make most of a text
def _meant(typed: str, low: str, ordinal: bool) -> tuple[str, object, bool]:
    """The class of a token, its value, and whether a slip of a finger was put right."""
    code, value = _meaning(typed, low, ordinal)
    typo = False
    if code == OTHER and typed[0].isupper() and len(low) > 1:
        code = NAME
    if code == OTHER and low.isalpha() and (near := _nearly(low)):
        (code, value), typo = _lexicon()[near], True
    return code, value, typo


def _meaning(typed: str, low: str, ordinal: bool) -> tuple[str, object]:
    """The class of a token and its value."""
    if low in _FRACTIONS:
        return SPECIAL["FRACTION"], _FRACTIONS[low]
    if low[0].isdecimal() or (low[0] in "x×" and low[-1].isdecimal()):
        return _figures(low, ordinal)
    if typed in _PITCHES:
        return SPECIAL["PITCH"], typed
    if low.endswith(("m", "min")) and typed.removesuffix("in").removesuffix("m") in _PITCHES:
        return SPECIAL["MINOR"], typed
    if len(low) > 1 and _PARTS.issuperset(low) and _ORDER.match(typed) and low not in _NO_ORDER:
        return SPECIAL["LETTERS"], typed
    if len(low) == 1:
        return _character(typed, low)
    if low[1:] in ("#", "♯", "♭"):
        return SPECIAL["LETTER"], typed
    return _word(typed, low)


_PARTS = frozenset("abcd")
_NO_ORDER = frozenset(("ad", "bad", "dad", "cad", "add", "cab", "dab", "acad"))


def _figures(low: str, ordinal: bool) -> tuple[str, object]:
    """The class and value of a number: ``6/8``, ``2x``, ``3rd``, ``96``."""
    figures = "".join(c for c in low if c.isdecimal() or c == "/")
    if "/" in figures:
        return SPECIAL["FRACTION"], figures
    if "x" in low or "×" in low:
        return SPECIAL["TIMES"], int(figures)
    if ordinal and low in ("8th", "16th", "32nd"):
        return SPECIAL["NOTE"], int(figures)
    return SPECIAL["ORD" if ordinal else "NUM"], int(figures)


def _character(typed: str, low: str) -> tuple[str, object]:
    """The class and value of a single character."""
    if low == "a":
        return SPECIAL["LOW_A"], typed
    if low.isalpha():
        return (FILL if typed == "I" else SPECIAL["LETTER"]), typed
    code = _SIGNS.get(low) or _PAIRS.get(low, SPECIAL["RAW_SIGN"])
    return code, _QUARTER if low == "♩" else low


_QUARTER = 4  # how many of the note make a whole one


def _word(typed: str, low: str) -> tuple[str, object]:
    """The class and value of a word."""
    found = _lexicon().get(low)
    if found is None and low.endswith("'s"):
        if len(low) == len("h's"):
            return SPECIAL["LETTER"], typed[0]
        found = _lexicon().get(low[:-2])
    if found is None and (typed != low or low in spoken_values.SPELLED) and _is_compact(typed, low):
        return SPECIAL["COMPACT"], typed
    if found is None and any(c * 3 in low for c in low[2:]):
        found = _lexicon().get(re.sub(r"(.)\1{2,}", r"\1", low))
    if found is not None:
        return found
    if low.endswith(_MANNERS) and len(low) > _LONG:
        return spoken.CLASSES["PACE"][0], None
    if low in _ROMAN and typed.isupper():
        return SPECIAL["NUM"], _ROMAN[low]
    return OTHER, None


_STEPS = frozenset("abcdefg#")


def _is_compact(typed: str, low: str) -> bool:
    """True for the letters of strings in one word."""
    return _STEPS.issuperset(low) and _COMPACT.match(typed) is not None


_TENS = frozenset(spoken_values.TENS)
_HUNDRED = 100


def _joined(tokens: list[Token]) -> list[Token]:
    """Tokens with numbers of several words as one: ``seventy-two``, ``a hundred and ten``."""
    found: list[Token] = []
    for token in tokens:
        if not found or not (token.low in spoken_values.NUMBERS or token.low in _TENS):
            found.append(token)
            continue
        back = 1 if found[-1].low in ("-", "and") else 0
        before = found[-1 - back] if len(found) > back else None
        sum_of = _together(before, token, bool(back)) if before is not None else 0
        if not sum_of or before is None:
            found.append(token)
            continue
        del found[-1 - back :]
        found.append(
            Token(
                text=before.text + " " + token.text,
                low=before.low + " " + token.low,
                code=SPECIAL["NUM"],
                start=before.start,
                value=sum_of,
            )
        )
    return found


def _together(before: Token, token: Token, joined: bool) -> int:
    """The number that a word and a word for a number are together; 0 if they are none."""
    if token.low == "hundred":
        return (
            _HUNDRED * (_number(before) or 1) if before.low in (*spoken_values.NUMBERS, "a") else 0
        )
    first, second = _number(before), _number(token)
    if before.low.endswith("hundred"):
        return first + second
    if before.low.split()[-1] in _TENS and token.low in spoken_values.NUMBERS and second < 10:
        return first + second
    if before.low == "one" and token.low in _TENS and not joined:
        return _HUNDRED + second
    return 0


def _number(token: Token) -> int:
    return token.value if isinstance(token.value, int) else 0
