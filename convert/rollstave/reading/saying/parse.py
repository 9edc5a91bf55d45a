"""What a line may say: every way of :mod:`rollstave.vocabulary.sayings` that its words match."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache, lru_cache

from msgspec import Struct

from rollstave.patterns import rare
from rollstave.reading.saying.meaning import value_of
from rollstave.reading.saying.tokens import NAME, OTHER, SPECIAL, Token, tokens_of
from rollstave.vocabulary.saying import Saying
from rollstave.vocabulary.sayings import SAYINGS, SETS
from rollstave.vocabulary.spoken import CLASSES

# The name of a class or set, or a group of nothing but names: one of them.
_NAMES = rare(r"(?P<opens>\(\?(?:P<\w+>|[:=!]))(?P<names>[A-Z_|]+)\)|(?P<name>[A-Z_]{2,})")
_NEVER = SPECIAL["STOP"]


class Found(Struct, frozen=True):
    """A fact that a line may say: its name and value, the way it is said in, the characters from
    ``start`` to ``end``, and what speaks for it or against it."""

    fact: str
    value: object
    way: str
    start: int
    end: int
    features: dict[str, float]


@cache
def _letters() -> Mapping[str, str]:
    """The letters in a coded sentence, by the name of a class or a set."""
    single = {name: letter for name, (letter, _) in CLASSES.items()} | SPECIAL
    return single | {name: "".join(single[n] for n in names) for name, names in SETS.items()}


def _as_set(match: re.Match[str]) -> str:
    """Names of classes and sets as a regular expression has them: one of their letters."""
    names = match["names"] or match["name"]
    letters = "".join(dict.fromkeys("".join(_letters()[name] for name in names.split("|"))))
    one = re.escape(letters) if len(letters) == 1 else f"[{''.join(map(re.escape, letters))}]"
    return one if match["opens"] in (None, "(?:") else f"{match['opens']}{one})"


def pattern_of(saying: Saying) -> str:
    """The regular expression of a way, over the letters of classes."""
    return "".join(_NAMES.sub(_as_set, saying.pattern).split())


@cache
def _compiled(saying: Saying) -> re.Pattern[str]:
    return re.compile(pattern_of(saying))


@lru_cache(maxsize=256)
def _tokens(text: str) -> Sequence[Token]:
    return tokens_of(text)


@lru_cache(maxsize=8192)  # several stages walk all lines, and letters are small
def _coded(text: str) -> str:
    """The letters of the classes of a line's tokens."""
    return "".join(token.code for token in _tokens(text))


@cache
def _ways(facts: tuple[str, ...]) -> Sequence[Saying]:
    """The ways to say some facts and those that hold them; all ways for no facts."""
    wanted = {*facts, *(other for fact in facts for other in _HOLDS.get(fact, ()))}
    return [saying for saying in SAYINGS if not wanted or saying.fact in wanted]


@lru_cache(maxsize=512)
def found_in(text: str, facts: tuple[str, ...] = ()) -> tuple[Found, ...]:
    """All that a line may say, or all of some facts, whether it is likely or not."""
    coded = _coded(text)
    found: list[Found] = []
    ways = [saying for saying in _ways(facts) if _has(saying.needs, coded)]
    tokens = _tokens(text) if ways else ()
    for saying in ways:
        for match in _compiled(saying).finditer(coded):
            if match.end() == match.start():
                continue
            groups = {n: tokens[slice(*match.span(n))] for n, v in match.groupdict().items() if v}
            value = value_of(saying.fact, groups, text)
            if value is None:
                continue
            features = _features(saying, tokens, *match.span())
            if saying.name in _AMONG_FACTS and not any(
                features[f"{saying.fact} with {name}"] for name in _LISTED
            ):
                continue
            begin, last = tokens[match.start()], tokens[match.end() - 1]
            found.append(
                Found(
                    fact=saying.fact,
                    value=value,
                    way=saying.name,
                    start=begin.start,
                    end=last.end,
                    features=features,
                )
            )
    return tuple(_weighed(found))


@cache
def in_letters(needs: str) -> tuple[str, ...]:
    """What a way needs, as letters of a coded sentence: one of some, then one of others."""
    letters = _letters()
    return tuple("".join(letters[name] for name in some.split()) for some in needs.split("&"))


def _has(needs: str, coded: str) -> bool:
    at = 0
    for some in in_letters(needs):
        places = [place for letter in some if (place := coded.find(letter, at)) >= 0]
        if not places:
            return False
        at = min(places) + 1
    return True


_SIGNS = frozenset(SPECIAL[n] for n in ("RAW_SIGN", "HYPHEN", "PAREN"))
_BESIDE = {
    **dict.fromkeys(_SIGNS, "sign"),
    **{SPECIAL["FILLING"]: "filling", SPECIAL["COMMA"]: "comma", SPECIAL["STOP"]: "stop"},
    **{OTHER: "unknown", NAME: "unknown", CLASSES["FROM"][0]: "from", SPECIAL["EQUALS"]: "equals"},
}


def _beside(tokens: Sequence[Token], at: int) -> str:
    """What stands at a place, roughly."""
    return _BESIDE.get(tokens[at].code, "known") if 0 <= at < len(tokens) else "nothing"


_COUNTED = {
    "person": CLASSES["PERSON"][0],
    "story": CLASSES["STORY"][0],
    "no": CLASSES["NO"][0],
    "or": CLASSES["OR"][0],
}
_LONG = 12  # tokens of a line that is no heading
_MANY = 4
_PLAIN = frozenset(
    SPECIAL[n] for n in ("FILLING", "LOW_A", "RAW_SIGN", "HYPHEN", "PAREN", "COMMA", "STOP")
)


def _features(saying: Saying, tokens: Sequence[Token], start: int, end: int) -> dict[str, float]:
    """What speaks for a way that the tokens ``start`` to ``end`` match, or against it."""
    first = max((i + 1 for i in range(start) if tokens[i].code == _NEVER), default=0)
    stop = next((i for i in range(end, len(tokens)) if tokens[i].code == _NEVER), len(tokens))
    around = [*tokens[first:start], *tokens[end:stop]]
    codes = [token.code for token in around]
    words = [t for t in tokens if t.code not in _SIGNS]
    features = {
        f"way {saying.name}": 1.0,
        "whole": (end - start) / max(1, len(tokens)),
        "sentence": (end - start) / max(1, stop - first),
        "unknown": min(_MANY, codes.count(OTHER) + codes.count(NAME)) / _MANY,
        "known": min(_MANY, sum(c not in _PLAIN and c not in (OTHER, NAME) for c in codes)) / _MANY,
        "first": float(start == 0),
        "starts": float(start == first),
        "ends": float(end == stop),
        "long": min(2.0, len(words) / _LONG),
        "question": float("?" in (t.low for t in tokens)),
        "equals": float(any(t.low in ("=", ":") for t in tokens[start:end])),
        "typo": float(any(t.typo for t in tokens[start:end])),
    }
    if saying.fact in _BY_NEIGHBOURS:
        features[f"{saying.fact} before {_beside(tokens, start - 1)}"] = 1.0
        features[f"{saying.fact} after {_beside(tokens, end)}"] = 1.0
    if saying.fact in _IN_LISTS:
        listed = [t.code for t in tokens] if saying.fact == "pace" else codes
        for name, letters in _LISTED.items():
            features[f"{saying.fact} with {name}"] = float(not letters.isdisjoint(listed))
    for name, letter in _COUNTED.items():
        features[name] = float(letter in codes)
    before = tokens[first:start]
    features["no before"] = float(any(t.code == _COUNTED["no"] for t in before[-3:]))
    features["no ahead"] = float(any(t.code == _COUNTED["no"] for t in before))
    features["story line"] = float(any(t.code == _COUNTED["story"] for t in tokens))
    features["person line"] = float(any(t.code == _COUNTED["person"] for t in tokens))
    return features


# Facts of which the words beside them tell most.
_BY_NEIGHBOURS = frozenset(
    ("time", "key", "ending", "instrument", "pace", "capo", "tuning", "tempo")
)
# Facts that are a bare letter or number where others are listed with them.
_IN_LISTS = frozenset(("key", "tempo", "pace"))
_AMONG_FACTS = frozenset(("C among facts", "n among facts", "pace among facts"))  # and nowhere else
_LISTED = {
    "time": frozenset((SPECIAL["FRACTION"], SPECIAL["METER_WORD"])),
    "letters": frozenset((SPECIAL["COMPACT"], SPECIAL["LETTERS"])),
    "instrument": frozenset((CLASSES["INSTRUMENT"][0],)),
    "tuning": frozenset((CLASSES["TUNING"][0], CLASSES["CAPO"][0])),
}


def _weighed(found: Sequence[Found]) -> Iterator[Found]:
    """What was found without that which another finding holds; whether another is its rival."""
    counted = [f for f in found if f.way == "counted"]  # "1 2 3 4" holds no 3/4
    found = [
        one
        for one in found
        if one in counted or not any(f.start <= one.start and one.end <= f.end for f in counted)
    ]
    for one in found:
        others = [
            f
            for f in found
            if f.fact == one.fact
            and f.value != one.value
            and (one.way in _WEAK or f.way not in _WEAK)
        ]
        over = [f for f in found if f.fact in _HOLDS.get(one.fact, ()) or f.way in _WHOLE]
        if any(f.start <= one.start and one.end <= f.end and f.way != one.way for f in over):
            continue
        if one.way in _WEAK and others:
            continue
        if one.fact in _ONE_OF_LINE and others:
            one.features["rival"] = 1.0
        if one.fact == "key" and any(f.fact in ("retuned", "fifth_capo") for f in found):
            one.features["key beside strings"] = 1.0
        yield one


_HOLDS = {"capo": ("fifth_capo",), "repeat": ("order",)}
_WEAK = (
    "two beats",
    "dance",
    "counted",
    "at n",
    "C among facts",
)  # where something surer stands, nothing
_WHOLE = ("number in brackets", "letters in turn")
_ONE_OF_LINE = frozenset(
    ("tuning", "time", "key", "capo", "tempo", "unit", "instrument", "string_order")
)


@lru_cache(maxsize=512)
def may_tell(text: str, facts: tuple[str, ...]) -> bool:
    """False for a line without the words that any way to say some facts needs: to look for those
    costs less than to make the patterns."""
    if _BY_WORDS.issuperset(facts) and not _WORD.search(text):
        return False
    coded = _coded(text)
    return any(saying.fact in facts and _has(saying.needs, coded) for saying in _ways(facts))


_WORD = rare(r"[^\W\d_]{3}")
_BY_WORDS = frozenset(("legend", "string_order"))  # not by chords, letters of fingers, figures
