"""What words say that should be found in the score: a row for each.

Patterns are regular expressions without regard to case; ``cues`` as in
:func:`rollstave.patterns.rare`.
"""

from __future__ import annotations

from msgspec import Struct

_COUNT = r"(?:\d|two|three|four)"
_NUMBER = r"[3-9]\d|[12]\d\d"


class SaidOfMeasures(Struct, frozen=True, kw_only=True):
    """Words that order the measures. ``shows`` names what the measures then have: ``repeat``,
    ``ending`` or ``jump``. ``always`` is True for words that mean it wherever they stand; others
    do only in ``most`` words, or in the name of a part."""

    shows: str
    pattern: str
    cues: tuple[str, ...]
    always: bool = False
    most: int = 6


OF_MEASURES: tuple[SaidOfMeasures, ...] = (
    SaidOfMeasures(
        shows="repeat",
        pattern=rf"\b(?:twice|thrice|bis|{_COUNT}\s+times|repeat(?:s|ed)?|rpt)\b"
        r"|\b(?:(?:zwei|drei|vier)mal|wiederhol\w+|deux\s+fois|dos\s+veces|due\s+volte|tweemaal)\b"
        rf"|(?<!\w)(?:x\s?[2-4]|[2-4]\s?x)(?!\w)",
        cues=(
            *("twice", "thrice", "bis", "times", "repeat", "rpt", "x", "mal", "wiederhol"),
            *("fois", "veces", "volte", "tweemaal"),
        ),
    ),
    SaidOfMeasures(
        shows="repeat",
        pattern=r"\b(?:each|every|both|all)\s+(?:the\s+)?(?:parts?|sections?|strains?|halves)\s+"
        rf"(?:\w+\s+){{0,3}}?(?:twice|thrice|repeated|{_COUNT}\s+times)\b",
        cues=("twice", "thrice", "repeated", "times"),
        always=True,
    ),
    SaidOfMeasures(
        shows="repeat",
        pattern=r"(?<!you )(?<!we )\b(?:do|play|go|sing)\s+"
        r"(?:(?:it|that|this|them|all|the\s+\w+|back|round|over|through|up)\s+)+"
        r"(?:again|once\s+more|one\s+more\s+time)\b"
        r"(?!\s+(?:and|until|till|if|when|slow|fast))",
        cues=("again", "more"),
        most=10,
    ),
    SaidOfMeasures(
        shows="repeat",
        pattern=r"\b(?:all|(?:the\s+)?whole|everything|the\s+lot|each|every|both)\b[^.\n]{0,24}?"
        rf"\b(?:twice|thrice|{_COUNT}\s+times)\b|\b(?:le|la|tout)\s+(?:tout\s+)?(?:deux|trois)\s+fois\b"
        r"|\b(?:alles|ganze[sn]?)\b[^.\n]{0,16}\b(?:zwei|drei)mal\b",
        cues=("twice", "thrice", "times", "fois", "mal"),
        always=True,
    ),
    SaidOfMeasures(
        shows="repeat",
        pattern=r"\byou\s+(?:will\s+)?(?:play|do|sing|go\s+through)\s+[^.,;:\n]{0,8}?\b(?:these|those|them)"
        rf"\b[^.,;:\n]{{0,16}}?\b(?:twice|thrice|{_COUNT}\s+times)\b"
        rf"|\byou\s+(?:will\s+)?(?:play|do|sing)\s+(?:the\s+)?(?:two|three|four|both)\s+of\s+them\s+"
        rf"(?:twice|thrice|{_COUNT}\s+times)\b",
        cues=("twice", "thrice", "times"),
        most=30,
    ),
    SaidOfMeasures(
        shows="ending",
        most=4,
        pattern=r"\b(?:1st|2nd|3rd|first|second|third|last)\s+(?:ending|end|time|pass|go|volta)\b"
        r"|\b(?:ending|volta)\s+(?:[1-3]|one|two|three)\b|^\W*[12]\s?[.)\]:]\W*$",
        cues=(*("ending", "end", "time", "pass", "go", "volta", "1", "2"),),
    ),
    SaidOfMeasures(
        shows="jump",
        pattern=r"\bd(?:\.|\. | )?[cs]\.(?!\w)|\bda\s+capo\b|\bdal\s+segno\b"
        r"|\bal\s+fine\b|\bto\s+coda\b|\b(?:back\s+to|from)\s+the\s+(?:top|beginning|start|sign)\b"
        r"|^\W*(?:the\s+)?(?:fine|segno|coda)\W*$",
        cues=(
            *("d.", "d c.", "d s.", "dc.", "ds.", "capo", "segno"),
            *("fine", "coda", "back", "from"),
        ),
    ),
)


class SaidOfTune(Struct, frozen=True, kw_only=True):
    """Words that name a fact of a tune: the key of its heading, and how the heading is typed."""

    key: str
    pattern: str
    cues: tuple[str, ...]
    example: str


OF_TUNE: tuple[SaidOfTune, ...] = (
    SaidOfTune(
        key="tempo",
        pattern=rf"\b(?:{_NUMBER})\b[^\d\n]{{0,24}}\b(?:bpm|minute|metronome)\b"
        rf"|\b(?:bpm|tempo|speed|metronome|crotchets?|quarter(?:[ -]notes?)?|half[ -]notes?"
        rf"|minims?)\b[^\d\n/]{{0,12}}\b(?:{_NUMBER})\b",
        cues=(
            "bpm",
            "minute",
            "metronome",
            "tempo",
            "speed",
            "crotchet",
            "quarter",
            "half",
            "minim",
        ),
        example="Tempo: 80",
    ),
    SaidOfTune(
        key="capo",
        pattern=r"(?<!no )(?<!da )\bcapo(?:ed)?\b[^.\n]{0,40}?(?<!\w)"
        r"(?:\d{1,2}(?:st|nd|rd|th)?|one|two|three|four|five|second|third|fourth|fifth|seventh"
        r"|I{2,3}|IV|VI{0,2})\b",
        cues=("capo",),
        example="Capo: 2",
    ),
    SaidOfTune(
        key="time",
        pattern=r"\b(?:two|three|four|six|nine|twelve|[234689]|12)\s+(?:\w+\s+)?(?:beats|counts|pulses)\s+"
        r"(?:to|in|a|per|of)\s+(?:(?:a|the|each|every|one)\s+)?(?:bar|measure)\b",
        cues=("bar", "measure"),
        example="Time: 2/4",
    ),
)

# What stands in the heading of a sheet rather than in the name of a tune.
# "The School Clock" is a tune.
OF_SHEETS = (
    r"(?<!^the )\b(?:school|handout|lesson|worksheet|workshop|sheet|class|club|society|collection"
    r"|songbook|tunebook|page|exercise|appendix|name:|date:|subject:|from:|sent:|posted|wrote"
    r"|teacher:|tutor:|pupil:|student:|notes?\s+to\s+(?:self|myself)|notice\s+board|programme|for\s+my\s+pupils)(?!\w)"
)
OF_SHEETS_CUES = (
    *("school", "handout", "lesson", "worksheet", "workshop", "sheet", "class", "club", "society"),
    *("collection", "songbook", "tunebook", "page", "exercise", "appendix", "name:", "date:"),
    *("subject:", "from:", "sent:", "posted", "wrote", "teacher:", "tutor:", "pupil:", "student:"),
    *("note", "notice", "programme", "pupils"),
)

# What the pages of a site are called where one leads to the others.
PAGES_OF_SITES = (
    "home homepage start main index back next prev previous forward up top bottom of page to the "
    "site map sitemap menu about us contact contacts links link guestbook forum forums news blog "
    "gallery photos events shop store login log in out register search faq help lessons tabs tab "
    "tablature tunes songs music banjo archive archives list members print version email mail "
    "subscribe startseite zurück weiter kontakt gästebuch impressum noten lieder accueil retour "
    "suivant précédent contactez nous liens inicio contacto enlaces volver anterior siguiente "
    "terug volgende gastenboek"
)
