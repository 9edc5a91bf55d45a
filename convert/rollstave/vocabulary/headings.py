"""Every heading: what people call it, where a score keeps it, and where it stands.

One row for each; whoever reads or writes headings walks the rows. A heading that is only words
needs nothing but its row. One that means more (a key, a capo) also has a function in each of the
tables that the tests name: how it is understood, and how it is typed back.

Patterns are regular expressions without capital letters and without groups but ``(?P<v>...)``,
which is what the heading says.
"""

from __future__ import annotations

from enum import Enum

from msgspec import Struct

from rollstave.vocabulary.note_values import COUNTED_WORDS

# Elements of MusicXML 4.0 that keep words about a score.
CREATOR, RIGHTS, SOURCE = (f"identification/{name}" for name in ("creator", "rights", "source"))
FIELD = "identification/miscellaneous/miscellaneous-field"
# Words over the beginning, beside what sounds at their tempo.
TEMPO_WORDS = "part[1]/measure[1]/direction/sound[@tempo]/../direction-type/words"


_SAYING_IT = ("from ", "by ", "after ")


class Stands(Enum):
    """Where the words of a heading stand in the head of a sheet and of a page: on the side of the
    tuning, or on the side of the composer."""

    LEFT = "left"
    RIGHT = "right"


class InMusicXML(Struct, frozen=True):
    """An element of MusicXML 4.0 that has the words of a heading as its text: its path from the
    root, and an attribute that tells it from others of its kind."""

    path: str
    attribute: str = ""
    value: str = ""

    @property
    def found_at(self) -> str:
        """The element as an XPath."""
        return f"{self.path}[@{self.attribute}='{self.value}']" if self.attribute else self.path


class HeadingRow(Struct, frozen=True, kw_only=True):
    """A heading.

    - ``key`` names it in messages, in reports, and in :attr:`rollstave.Score.headings`.
    - ``words`` is a pattern of what people write before the colon, ``dashed`` of those that also
      have a dash in its place.
    - ``bare`` are its forms without a colon; ``at_the_head`` those that are believed only at the
      head of a tune, because they may be lyrics or remarks in its midst; ``whole`` those that take
      a whole line, commas and all. ``sentence`` is True where a period at the end belongs to it.
    - ``cues`` are bits of words, in small letters, of which each of these forms has one: without
      one in a line they are not looked for. Without any they always are.
    - ``short`` is True where other headings may follow its value on the line; ``opens`` where no
      tune but a new one has it.
    - ``changes`` is True where it may be said again amid a tune, and holds from there on.
    - ``typed`` is what is typed before the colon; without it, the key with a capital.
    - ``only_words`` is False where it means more than its words. ``attribute`` is the field of
      :class:`rollstave.Score` that has the words, if not ``headings``.
    - ``stands`` is where it stands in the head of a sheet, and ``shown`` what stands there, with
      ``{}`` for the words. ``credit`` is its ``credit-type`` in MusicXML.
    - ``musicxml`` is the element that has it in MusicXML; without it, a ``miscellaneous-field`` of
      the key's name.
    """

    key: str
    words: str
    dashed: str = ""
    bare: tuple[str, ...] = ()
    at_the_head: tuple[str, ...] = ()
    whole: tuple[str, ...] = ()
    cues: tuple[str, ...] = ()
    sentence: bool = False
    short: bool = False
    opens: bool = False
    changes: bool = False
    typed: str = ""
    only_words: bool = True
    attribute: str = ""
    stands: Stands | None = Stands.RIGHT
    shown: str = ""
    credit: str = ""
    musicxml: InMusicXML | None = None

    @property
    def name(self) -> str:
        """What is typed before the colon."""
        return self.typed or self.key.capitalize()

    @property
    def kept(self) -> InMusicXML:
        """Where MusicXML has its words."""
        if self.musicxml is not None:
            return self.musicxml
        return InMusicXML(FIELD, "name", self.key)

    def on_the_sheet(self, words: str) -> str:
        """Its line in the head of a sheet: with its name, unless the words themselves say it."""
        if not self.shown and words.lower().startswith(_SAYING_IT):
            return words[0].upper() + words[1:]
        return (self.shown or f"{self.name}: {{}}").replace("{}", words)


_NUMBER = (
    r"(?:\d+(?:st|nd|rd|th)?|[ivx]{1,4}|one|two|three|four|five|six|seven"
    r"|first|second|third|fourth|fifth|sixth|seventh)"
)
_A_NAME = r"(?-i:[A-Z])[\w.'-]*(?:\s+(?:[\w.'&-]+|\"\w+\")){0,5}"
_FIFTH = r"(?:with\s+)?(?:the\s+)?(?:5th|fifth)(?:\s+string)?"
# A tempo may be about right, and be given for a note value: "♩ = ca. 96", "dotted quarter = 60".
_ABOUT = r"(?:ca?\.?\s*|about\s+|around\s+|approx\.?\s*|~\s*)?"
_METRONOME = r"m\.? ?m\.?\s*[=:]?\s*"
_NOTE_VALUE = rf"(?:(?:dotted\s+)?(?:{COUNTED_WORDS})\.?)"

# "Banjo: gDGBD", "five-string banjo gDGBD": the letters of strings behind what they are on.
_OPEN_STRINGS = r"(?-i:[A-Ga-g])[#b♯♭]?(?:[ ,-]?(?-i:[A-G])[#b♯♭]?){3,5}(?![\w#♯♭])"
INSTRUMENTS = "banjo|guitar|bass|ukulele|uke|mandolin|fiddle|violin|dulcimer"
_STRUNG = f"strings|{INSTRUMENTS}"
_WHICH_STRUNG = r"(?:(?:[456]|four|five|six|tenor|baritone)(?:[- ]strings?)?\s+)?"

_TIME = (
    r"(?:tim(?:e|ing)(?:\s+sig(?:nature|n)?\.?)?|met(?:er|re)|beat|rhythm|takt(?:art)?"
    r"|mesure|comp[áa]s|maat(?:soort)?)"
)

# In the order in which they are typed.
HEADINGS: tuple[HeadingRow, ...] = (
    HeadingRow(
        key="title",
        words=r"(?:song |tune )?title|titel|titre|t[ií]tulo|titolo"
        r"|(?:(?:name|title) of )?(?:the )?(?:tune|piece|song|work)"
        r"|l[aå]t|lied|st[uü]e?ck|chanson|morceau|canci[oó]n|canzone|brano|kappale|utw[oó]r"
        r"|(?:tune |song )?name|called|(?:banjo |guitar )?tab"
        r"|(?:(?:tab(?:lature)?|sheet|handout|music|notes|part) )+for",
        dashed="title|tune|song|name|piece",
        only_words=False,
        attribute="title",
        stands=None,
        musicxml=InMusicXML("work/work-title"),
    ),
    HeadingRow(
        key="composer",
        words=r"composer|komponist|compositeur|compositor|componist|auth?or|auteur|comp\."
        r"|(?:words\s+(?:and|&)\s+)?(?:music|musik|musique|m[uú]sica|muziek|m[eé]lod(?:ie|ia))"
        r"|composed by|music by|written by|made(?: up)? by|tune by|(?:name of )?maker|by"
        r"|composto da|compuest[ao] por|compos[eé]e? par|komponiert von|komponerad av|av",
        whole=(
            r"(?:composed|written|(?:words\s+(?:and|&)\s+)?music)\s+by\s+(?P<v>\S.*)",
            rf"comp\.\s+(?P<v>{_A_NAME})",
            rf"(?:made|tune)(?:\s+up)?(?:\s+\w+){{0,3}}\s+by\s+(?P<v>{_A_NAME})",
            r"(?:composto\s+da|compuest[ao]\s+por|compos[eé]e?\s+par|komponiert\s+von"
            rf"|komponerad\s+av|gemaakt\s+door)\s+(?P<v>{_A_NAME})",
        ),
        at_the_head=(
            r"(?P<v>trad(?:itional)?\.?)",
            rf"by\s+(?P<v>{_A_NAME})",
        ),
        cues=("by", "trad", "comp", "kompon", "gemaakt"),
        sentence=True,
        opens=True,
        attribute="composer",
        credit="composer",
        musicxml=InMusicXML(CREATOR, "type", "composer"),
    ),
    HeadingRow(
        key="arranger",
        words=r"arranger|arranged by|arrangement by|arr\.?(?: by)?",
        at_the_head=(rf"(?:arranged\s+by|arr\.?(?:\s+by)?)\s+(?P<v>{_A_NAME})",),
        cues=("arr",),
        sentence=True,
        opens=True,
        shown="arr. {}",
        credit="arranger",
        musicxml=InMusicXML(CREATOR, "type", "arranger"),
    ),
    HeadingRow(
        key="transcriber",
        words=r"(?:tab(?:bed|bed out)?|transcribed|typed|notated|written out) by"
        r"|transcri(?:ber|ption)(?: by)?|tabber",
        whole=(r"(?:tabbed|transcribed|typed)\s+by\s+(?P<v>\S.*)",),
        at_the_head=(rf"(?:tab|tabbed|transcribed|typed|notated)\s+by\s+(?P<v>{_A_NAME})",),
        cues=("by",),
        sentence=True,
        typed="Tabbed by",
        shown="tab by {}",
        credit="arranger",
    ),
    HeadingRow(
        key="source",
        words=r"source|from|taken from|out of|artist|(?:as )?(?:played|performed) by",
        at_the_head=(rf"(?:as\s+)?(?:played|performed|sung)\s+by\s+(?P<v>{_A_NAME})",),
        whole=(r"(?P<v>from\s+the\s(?!top\b|beginning\b|start\b|head\b|sign\b).*[^.])",),
        cues=("from", "by"),
        opens=True,
        attribute="source",
        musicxml=InMusicXML(SOURCE),
    ),
    HeadingRow(
        key="instrument",
        words="instrument|(?:played|plays) on",
        dashed="instrument",
        bare=(r"instrument\s+(?P<v>[a-z][a-z0-9 -]{2,24})",),
        cues=("instrument",),
        opens=True,
        only_words=False,
        stands=None,
    ),
    HeadingRow(
        key="tuning",
        words=rf"(?:(?:my|the|{INSTRUMENTS}|strings?)\s+)?tuning"
        r"|(?:banjo)?stimmung|st[äa]mning|accordage|accord|afinaci[óo]n|afina[çc][ãa]o|accordatura|stemming"
        r"(?:\s+(?:is|used))?|tuned(?:\s+(?:to|in))?|(?:re-?)?tune\s+(?:it\s+)?to|strings\s+tuned(?:\s+to)?|re-?tuned?"
        rf"|{_WHICH_STRUNG}(?:{_STRUNG})(?=\s*[:=]\s*{_OPEN_STRINGS})",
        dashed=r"tuning|tuned(?:\s+to)?|tune\s+to",
        bare=(
            # "tuning as always" says nothing.
            r"(?:tuning(?:\s+(?:is|was))?|tuned(?:\s+to)?|tune\s+to)\s+"
            r"(?P<v>(?!as\s+(?:always|usual|ever|before)\b|unchanged\b)\S.*)",
            r"re-?tune\s+(?:it\s+)?(?:to\s+)?(?P<v>\S.*)",
            rf"{_WHICH_STRUNG}(?:{_STRUNG})\s+(?:in\s+)?(?P<v>{_OPEN_STRINGS})",
        ),
        cues=("tun", *_STRUNG.split("|")),
        short=True,
        changes=True,
        opens=True,
        only_words=False,
        stands=None,
    ),
    HeadingRow(
        key="capo",
        words=r"capo(?:ed)?(?:\s+(?:up|on|at|fret|position))*",
        dashed=r"capo(?:\s+(?:up|on|at|fret))*",
        bare=(
            r"(?P<v>no\s+capo)",
            r"capo\s+(?P<v>off)",
            r"(?:take\s+)?(?P<v>off)\s+(?:with\s+)?the\s+capo",
            rf"capo(?:ed)?\s+(?:up\s+)?(?:on\s+|at\s+|to\s+)?(?:the\s+)?(?:fret\s+)?"
            rf"(?P<v>{_NUMBER}\b(?!\s+(?:if|when|unless)\b).*)",
        ),
        cues=("capo",),
        short=True,
        changes=True,
        opens=True,
        only_words=False,
        stands=None,
    ),
    HeadingRow(
        key="fifth string",
        words=r"(?:5th|fifth|thumb|short)(?: string)?",
        bare=(
            rf"{_FIFTH}\s+(?P<v>(?:(?:is\s+)?(?:raised|up|spiked?|capo(?:ed)?"
            r"|tuned(?!\s+(?:down|up)\s*:))|to(?!\s+(?:the\s+)?(?:1st|first|4th|fourth)\b)"
            r"|at(?![^.]*=)|on(?!\s+(?:the\s+)?(?:left|right|top|bottom|low))|not|counted)\b.*)",
            rf"(?:spike|capo|tune|raise)\s+{_FIFTH}\s+(?P<v>(?:up\s+)?(?:to|at|on|by|up)\b.*)",
        ),
        cues=("5th", "fifth"),
        changes=True,
        only_words=False,
        stands=None,
        musicxml=InMusicXML(FIELD, "name", "fifth string"),
    ),
    HeadingRow(
        key="key",
        words=r"tonality|tonart|tonalit[éà]|tonalidad|toonsoort|key(?:\s+(?:of|signature|sig\.?|is))?",
        dashed=r"key(?:\s+(?:of|signature))?",
        bare=(
            r"(?:in\s+)?(?:the\s+)?key\s+of\s+(?P<v>\S.*)",
            r"key\s+(?P<v>[A-G](?:#|b|♯|♭)?\s*(?:m|min(?:or)?|maj(?:or)?|dorian|mixolydian)?)",
        ),
        at_the_head=(
            r"in \s*(?P<v>(?-i:[A-G])(?:#|b|♯|♭)?(?:\s+(?:major|minor|dorian|mixolydian))?)",
            r"(?P<v>(?-i:[A-G])(?:#|b|♯|♭)?\s+(?:major|minor|dorian|mixolydian))",
        ),
        cues=("key", "in ", "major", "minor", "dorian", "mixolydian"),
        short=True,
        changes=True,
        only_words=False,
        stands=None,
    ),
    HeadingRow(
        key="time",
        # Whatever it is called, two figures and a stroke are a time.
        words=rf"{_TIME}|[a-z]{{3,12}}(?=\s*[:=]\s*(?:2|3|4|6|9|12)/(?:2|4|8|16)\b)",
        dashed=_TIME,
        bare=(
            rf"{_TIME}\s+(?P<v>\d+\s*/\s*\d+)(?:\s+time)?",
            r"(?P<v>\d+\s*/\s*(?:1|2|4|8|16|32))(?:\s+time)?",  # 2/11 is a date
            r"(?P<v>(?:cut|common)\s+time)",
            r"(?P<v>C\||¢)",
        ),
        cues=("/", "time", "c|", "¢"),
        short=True,
        changes=True,
        only_words=False,
        stands=None,
    ),
    HeadingRow(
        key="tempo",
        words=r"tempo(?:\s*\(\w{1,6}\))?|speed|bpm|metronome(?:\s+mark(?:ing)?)?|beats\s+(?:a|per)\s+minute"
        r"|[a-z]{3,12}(?=\s*[:=]\s*\d{2,3}\s*(?:bpm|beats)\b)",
        dashed="tempo|speed|metronome",
        bare=(
            rf"(?:tempo|speed|metronome)\s+(?P<v>(?:at\s+)?{_ABOUT}(?:{_NOTE_VALUE}\s*=\s*)?\d+.*)",
            rf"(?P<v>{_ABOUT}\d+\s*beats\s+(?:a|per)\s+minute)",
            rf"(?P<v>{_ABOUT}\d+\s*(?:bpm|b\.p\.m\.?))",
            rf"(?:{_METRONOME})?(?P<v>{_NOTE_VALUE}\s*=\s*{_ABOUT}\d+(?:\s*bpm)?)",
            rf"{_METRONOME}(?P<v>{_ABOUT}\d+(?:\s+(?:a|per|to\s+(?:the|a))\s+{_NOTE_VALUE})?)",
        ),
        at_the_head=(r"=\s*(?P<v>\d{2,3})", r"(?:ca?\.|circa|approx\.)\s*(?P<v>\d{2,3})"),
        cues=(
            "tempo",
            *("bpm", "b.p.m"),
            "speed",
            "metronome",
            "beats",
            "=",
            "mm",
            "m.",
            "m m",
            "c.",
            "ca.",
            "circa",
            "approx.",
        ),
        short=True,
        changes=True,
        only_words=False,
        stands=None,
    ),
    HeadingRow(
        key="pace",
        words=r"pace|aire|allure|andamento|zeitma(?:ß|ss)",
        at_the_head=(
            r"(?P<v>(?:(?:very|not too|a little)\s+)?(?:lively|slow(?:ly)?|fast|brisk(?:ly)?"
            r"|bright(?:ly)?|moderate(?:ly)?|moderato|andante|allegro|allegretto|steady|steadily"
            r"|gently)[.!]?)",
        ),
        sentence=True,
        stands=None,
        musicxml=InMusicXML(TEMPO_WORDS),
    ),
    HeadingRow(
        key="voices",
        words=r"voices?|two voices|second voice|bass voice",
        at_the_head=(r"in two voices,?\s*(?P<v>\S.*)",),
        cues=("voice",),
        changes=True,
        only_words=False,
        stands=None,
    ),
    HeadingRow(
        key="style",
        words=r"style|hand|right hand|playing style",
        at_the_head=(
            r"(?P<v>(?:old[- ]?time\s+)?(?:claw-?hammer|frailing|frailed|down-?pick(?:ing|ed)"
            r"|(?:two|three|2|3)[- ]finger|bluegrass)(?:\s+style)?)",
        ),
        cues=("hammer", "frail", "pick", "finger", "bluegrass"),
        opens=True,
        attribute="style",
        stands=Stands.LEFT,
        shown="{}",
    ),
)
ROWS: dict[str, HeadingRow] = {row.key: row for row in HEADINGS}
# Those that are only words.
ONLY_WORDS: tuple[HeadingRow, ...] = tuple(row for row in HEADINGS if row.only_words)
# Those that may change in the midst of a tune.
CHANGING: frozenset[str] = frozenset(row.key for row in HEADINGS if row.changes)
