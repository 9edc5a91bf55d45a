"""How people say in a sentence what others put into a heading: ``four beats to the bar``.

Patterns are regular expressions without capital letters, whose group ``v`` is what the heading
says, unless the row has the value.
"""

from __future__ import annotations

from msgspec import Struct

from rollstave.vocabulary.note_values import COUNTED_WORDS


class Said(Struct, frozen=True, kw_only=True):
    """A way to say something in a sentence.

    ``key`` is the heading's, ``pattern`` what is said; ``value`` is what it means, without it
    the words of the group ``v``. ``hint`` stands in every text that may say it, in small letters,
    and beside it one of ``also``, if there are any.
    """

    key: str
    pattern: str
    hint: str
    value: str = ""
    also: tuple[str, ...] = ()


_BAR = r"(?:bar|measure)\b"
_A_BAR = rf"\s+(?:to|in|a|per|of)\s+(?:(?:the|a|each|every|one)\s+)?{_BAR}"
_EVERY_BAR = (
    rf"(?:\bone|\beach|\bevery|\ba|\bthe)\s+{_BAR}\s*"
    r"(?:is|has|of|=|gets|holds|takes|contains|with)\s*"
)
_NUMBERS = {"2/4": "two|2", "3/4": "three|3", "4/4": "four|4", "6/8": "six|6", "9/8": "nine|9"}
# Two beats may be half notes; who says quarter notes leaves no doubt.
_QUARTERS = r"(?:quarter(?:[- ]note)?\s+beats|quarter[- ]notes|quarters|crotchets)"
_EIGHTHS = r"(?:eighth[- ]notes|eighths|quavers)"
_SPOKEN = {
    **{"2/4": "two[- ]four", "3/4": "three[- ]four", "4/4": "four[- ]four", "6/8": "six[- ]eight"},
    **{"9/8": "nine[- ]eight", "12/8": "twelve[- ]eight", "2/2": "two[- ]two"},
}
_BEATS = r"(?:beats|counts)"
_COUNTED = r"\bcount(?:ed|ing)?:?\s+(?:it\s+)?(?:as\s+)?[\"']?1[ ,-]+2[ ,-]+3"


def _times() -> tuple[Said, ...]:
    found: list[Said] = []
    for time, number in _NUMBERS.items():
        named = tuple(number.split("|"))
        what = _EIGHTHS if time.endswith("8") else _QUARTERS
        if time != "2/4":
            what = rf"(?:{what}|{_BEATS})"
            alone = rf"(?:^|[-,;.(]\s)\s*(?:{number})\s+beats(?=\s*(?:$|[-,;.)]))"
            found.append(Said(key="time", pattern=alone, hint="beats", value=time, also=named))
        counted = rf"\b(?:{number})\s+(?:even\s+|steady\s+)?{what}{_A_BAR}"
        found += [
            Said(key="time", pattern=counted, hint=hint, value=time, also=named)
            for hint in ("bar", "measure")
        ]
        every = rf"{_EVERY_BAR}(?:{number})\s+{what}"
        found += [
            Said(key="time", pattern=every, hint=hint, value=time, also=named)
            for hint in ("bar", "measure")
        ]
        if time in ("3/4", "4/4"):
            to_the_bar = rf"\b(?:{number})\s+(?:in\s+a|to\s+(?:the|a|each|every))\s+{_BAR}"
            in_number = rf"\b(?:it(?:'s|\s+is)|goes|counted)\s+in\s+(?:{number})(?=\s*(?:$|[.,;!]))"
            found += [
                Said(key="time", pattern=to_the_bar, hint=hint, value=time, also=named)
                for hint in (" to ", "in a")
            ]
            found.append(Said(key="time", pattern=in_number, hint=" in ", value=time, also=named))
    for time, spoken in _SPOKEN.items():
        figures = time.replace("/", "-")
        also = (figures, spoken.replace("[- ]", "-"), spoken.replace("[- ]", " "))
        pattern = rf"\b{spoken}(?=\s+time\b|[.,;!]|\s*$)|(?<![\d-]){figures}\s+time\b"
        found += [
            Said(key="time", pattern=pattern, hint=hint, value=time, also=also)
            for hint in (spoken.partition("[")[0], figures)
        ]
    return tuple(found)


_FRET = (
    r"(?:\d{1,2}(?:st|nd|rd|th)?|one|two|three|four|five|six|seven|first|second|third|fourth"
    r"|fifth|sixth|seventh)"
)
_ROMAN = r"(?-i:I{1,3}|IV|VI{0,3}|IX|X)"
_SHORT = r"(?:5th|fifth|short|thumb)\s+string"
_KEY = (
    r"(?-i:[A-G])(?:#|b(?![a-z])|♯|♭|\s+(?:flat|sharp)\b)?"
    r"(?:m\b|\s+(?:major|minor|dorian|mixolydian))?(?![\w#'])"
)

_UPPER = r"(?-i:[A-G])(?:#|b(?![a-z])|♯|♭)?"

SAID: tuple[Said, ...] = (
    Said(
        key="time",
        pattern=r"(?<![\d/.-])(?P<v>(?:2|3|4|5|6|7|9|12)\s?/\s?(?:2|4|8|16))(?![\d/])",
        hint="/",
    ),
    Said(key="time", pattern=r"\bcut[- ]time\b|\balla\s+breve\b", hint="cut", value="cut time"),
    Said(key="time", pattern=r"\balla\s+breve\b", hint="breve", value="cut time"),
    Said(key="time", pattern=r"\bcommon\s+time\b", hint="common", value="common time"),
    Said(key="time", pattern=r"\bwaltz\s+time\b", hint="waltz", value="3/4"),
    Said(
        key="time",
        pattern=rf"{_COUNTED}[ ,-]+4(?![ ,-]*\d)[\"']?{_A_BAR}",
        hint="count",
        value="4/4",
    ),
    Said(key="time", pattern=rf"{_COUNTED}(?![ ,-]*\d)[\"']?{_A_BAR}", hint="count", value="3/4"),
    Said(
        key="time",
        pattern=rf"{_COUNTED}[ ,-]+4[ ,-]+5[ ,-]+6(?![ ,-]*\d)[\"']?{_A_BAR}",
        hint="count",
        value="6/8",
    ),
    *_times(),
    Said(
        key="tuning",
        pattern=rf"(?<![\w#])(?P<v>(?-i:[a-g])[#b]?(?:[ ,.\-]{{0,2}}{_UPPER}){{4}})(?![\w#])",
        hint="",
    ),
    Said(
        key="tuning",
        pattern=rf"\btun(?:ed|ing|e)\b[^.\n]{{0,30}}?\b"
        rf"(?P<v>{_UPPER}(?:[ ,.\-]{{0,2}}{_UPPER}){{3,5}})(?![\w#])",
        hint="tun",
    ),
    Said(
        key="tuning",
        pattern=r"(?<![\w-])(?P<v>(?:[1-6](?:st|nd|rd|th)?\s?[-=: ]\s?[A-Ga-g][#b]?[ ,;]*){4,6})"
        r"(?![\w#])",
        hint="1",
    ),
    Said(
        key="capo",
        pattern=rf"\b(?P<v>{_FRET})\s+fret\s+capo\b",
        hint="capo",
    ),
    Said(
        key="capo",
        pattern=rf"\bcapo(?:'?d|ed)?\s+(?:up\s+)?(?:(?:on|at|in|to)\s+)?(?:the\s+)?"
        rf"(?:fret\s+)?(?P<v>{_FRET}|{_ROMAN})\b(?!['\u2019])",
        hint="capo",
    ),
    Said(
        key="fifth string",
        pattern=rf"\b{_SHORT}\s+(?P<v>(?:up|raised|tuned|spiked|capoed)\s+(?:up\s+)?(?:to|at)\s+"
        r"(?:(?-i:[A-G])(?:#|b)?|(?:fret\s+)?\d{1,2})(?!\w))",
        hint="string",
        also=("5th", "fifth", "short", "thumb"),
    ),
    Said(key="key", pattern=rf"\bkey\s+(?:of|is)\s+(?P<v>{_KEY})", hint="key"),
    Said(
        key="key", pattern=rf"\b(?:comes\s+out|sounds)\s+in\s+(?:the\s+)?(?P<v>{_KEY})", hint=" in "
    ),
    Said(
        key="key",
        pattern=rf"\b(?:it(?:'s|\s+is)|(?:this|the)\s+(?:one|tune)\s+is|played|goes"
        r"|(?:play(?:s|ed)?|do|have|take|sing)\s+(?:it|this(?:\s+one)?))\s+in\s+"
        rf"(?P<v>{_KEY})"
        r"(?=[.,;!]|\s*$|\s+and\b)",
        hint=" in ",
    ),
    Said(
        key="key",
        pattern=rf"\b(?:we|i|you)(?:\s+are|'re|\s+am|'m)\s+in\s+(?P<v>{_KEY})",
        hint=" in ",
    ),
    Said(
        key="key",
        pattern=r"\bin\s+(?P<v>(?-i:[A-G])(?:#|b)?\s+(?:major|minor))\b",
        hint=" in ",
    ),
    Said(
        key="tempo",
        pattern=r"\b(?:play\w*|goes?|take)\s+(?:it\s+)?(?:at|around|about)\s+(?:about\s+|around\s+)?"
        r"(?P<v>\d{2,3})\b(?!\s*(?:%|per\s?cent|st|nd|rd|th))",
        hint="",
    ),
    Said(
        key="tempo",
        pattern=r"\b\d{1,2}/\d{1,2}(?:\s+time)?,?\s+(?:at|about)\s+(?:about\s+)?(?P<v>[4-9]\d|1\d\d|2[0-4]\d)\b"
        r"(?=[.,;]|\s*$|\s+(?:for|to\s+the)\b)",
        hint="/",
    ),
    Said(
        key="tempo",
        pattern=r"(?<=[,;]\s)(?:about\s+|say\s+)?(?P<v>[4-9]\d|1\d\d|2[0-4]\d)"
        r"\s+or\s+(?:so|thereabouts)\b(?=[.,;]|\s*$)",
        hint=" or ",
    ),
    Said(
        key="tempo",
        pattern=rf"\b(?P<v>(?:dotted\s+)?(?:{COUNTED_WORDS})\.?\s*(?:=|equals|is|about|at)\s*\d{{2,3}})\b",
        hint="",
    ),
    Said(
        key="key",
        pattern=rf"\b(?:pretend|think|(?:play|finger)\w*\s+(?:it\s+)?(?:as\s+if|like))\s+"
        rf"(?:(?:you(?:'re|\s+are)|it(?:'s|\s+is))\s+)?in\s+(?P<v>{_KEY})",
        hint=" in ",
    ),
    Said(
        key="tempo",
        pattern=r"\b(?P<v>(?:dotted\s+)?(?:half|quarter|eighth)\s+notes?\s+(?:at\s+)?"
        r"(?:[4-9]\d|1\d\d|2[0-4]\d))\b",
        hint="note",
    ),
    Said(
        key="tempo",
        pattern=rf"\b(?P<v>\d{{2,3}}\s+(?:dotted\s+)?(?:{COUNTED_WORDS})s?\s+(?:a|per)\s+minute)",
        hint="minute",
    ),
    Said(
        key="tempo",
        pattern=r"\b(?P<v>\d{2,3})\s*(?:bpm\b|beats\s+(?:a|per)\s+minute|to\s+the\s+minute"
        r"|on\s+the\s+metronome)",
        hint="m",
    ),
    Said(
        key="tempo",
        pattern=r"\bmetronome\s+(?:(?:set\s+)?(?:at|on|to)|=)\s*(?P<v>\d{2,3})\b",
        hint="metronome",
    ),
    Said(
        key="tempo",
        pattern=r"\b(?:tempo|speed)(?:\s+(?:is|of|at|about|around|mark(?:ing)?))*\s*[=:]?\s*"
        r"(?P<v>\d{2,3})\b(?!\s*(?:%|per\s?cent|st|nd|rd|th|/|-\s?\d))",
        hint="",
        also=("tempo", "speed"),
    ),
)

# Said of one measure, of another tune or part, or under a condition, it is no fact of the tune.
NOT_SO_BEFORE = (
    r"(?:\b(?:not|never|isn't|if|unless|instead\s+of|unlike|rather\s+than|from|except|or|could"
    r"|can|may|might|page|(?:one|a|single|\d+(?:st|nd|rd|th)?|last|first|second|third)\s+"
    r"(?:bar|measure)s?\s*(?:is|has|of|in)|(?:bar|measure)s?\s+\w+\s*(?:is|has|of|in|are))"
    r"(?:\s+(?:in|a|the|only|it|is|you))?"
    r"|\b(?:cut|break|brok|wrap|split|chop|end)\w*\s[^.,;\n]{0,30}\b(?:lines?|rows?)"
    r"|(?:=|\bthat\s+is|\bthe\s+same\s+as|\bi\.e\.)[^.,;\n]{0,30}(?!\s*\n))\s*$"
)
NOT_SO_AFTER = (
    r"[ \t]*(?:if\b|or\b(?!\s+(?:so|near|thereabouts)\b)|when\b|unless\b|optional"
    r"|(?:bar|measure)s?\b|shapes?\b|speed|size|of\s+(?:the|a)\s+(?!tune|whole)|in\s+part|for\s+part|in\s+the\s+(?:second|b|c|last|third)\b)"
)
