"""Every code of a problem: how much it matters, and what it means.

The codes are promised to stay (see :mod:`rollstave`). Whoever reports a problem names its row
here, so a code that has no row cannot be reported.
"""

from __future__ import annotations

from rollstave.problems import ProblemKind, Severity

_NOTICE, _WARNING, _ERROR = Severity.NOTICE, Severity.WARNING, Severity.ERROR

# The file and its words ----------------------------------------------------------------------

FILE = ProblemKind("file", _ERROR, "A file cannot be read.")
BINARY = ProblemKind("binary", _ERROR, "The file is no text.")
TOO_LARGE = ProblemKind(
    "too-large", _ERROR, "A file or a tune is larger than what is read or written at once."
)
EMPTY = ProblemKind("empty", _ERROR, "There is nothing in the file.")
NO_TAB = ProblemKind("no-tab", _ERROR, "There are words, but no rows of tab or no notes in them.")
DOCUMENT = ProblemKind(
    "document",
    _ERROR,
    "A document is damaged, locked, or of a kind that a missing package reads.",
    also=(_NOTICE,),
)
DIALECT = ProblemKind("dialect", _NOTICE, "A plugin's dialect read the text.")
PLUGIN = ProblemKind("plugin", _ERROR, "A plugin's writer failed.")
REWORKED = ProblemKind(
    "reworked", _NOTICE, "What a rework changed or asks care for.", also=(_WARNING,)
)
NO_REWORK = ProblemKind("no-rework", _ERROR, "A tune cannot be reworked as it was asked for.")
FILE_NAME = ProblemKind("file-name", _ERROR, "A text is no tab but the name of a file.")
NO_FORMAT = ProblemKind("no-format", _ERROR, "There is no format of that name.")
ARGUMENT = ProblemKind("argument", _ERROR, "A function was given what it does not take.")
MAIL_CODING = ProblemKind(
    "mail-coding", _NOTICE, "What a mail program put in place of a character is put right."
)
MARKUP = ProblemKind("markup", _NOTICE, "Markup among words is taken away.")
UNREAD = ProblemKind(
    "unread", _WARNING, "Characters in a row are not understood and left out of the music."
)
STRAY = ProblemKind("stray", _WARNING, "A word over or under the tab stands at no measure or note.")
GIVEN = ProblemKind("given", _WARNING, "A heading that is given for many tabs is none for many.")
TITLE_LINE = ProblemKind(
    "title-line",
    _NOTICE,
    "A title's line says more than the title, or may be another line.",
    also=(_WARNING,),
)
HEADING_EMPTY = ProblemKind("heading-empty", _WARNING, "A heading says nothing.")
HEADING_TWICE = ProblemKind(
    "heading-twice", _WARNING, "A heading is there twice and says two things; the first counts."
)
NO_MEASURES = ProblemKind("no-measures", _WARNING, "A tune is named but has no tab.")
ORDER = ProblemKind("order", _NOTICE, "An order of parts is kept as words.")
AGAIN = ProblemKind("again", _NOTICE, "A part is played again because words say so.")
TIMES = ProblemKind("times", _NOTICE, "Words say how often a part is played, or change nothing.")
LEGEND = ProblemKind(
    "legend",
    _NOTICE,
    "The tab's own legend gives a sign another meaning, or one that is not understood.",
    also=(_WARNING,),
)

# What does not fit when everything is read --------------------------------------------------

LOST_FIGURE = ProblemKind("lost-figure", _WARNING, "A figure in a row became no note.")
KEPT_AS_WORDS = ProblemKind(
    "kept-as-words", _WARNING, "What is kept as words may say something of the music."
)
NOT_FOLLOWED = ProblemKind(
    "not-followed",
    _WARNING,
    "Words name a repeat, an ending or a jump, and the measures have none.",
)
ENDING_ORDER = ProblemKind("ending-order", _WARNING, "An ending does not follow the one before it.")
PART_TWICE = ProblemKind("part-twice", _WARNING, "The name of a part is used twice.")
LETTER_BESIDE = ProblemKind(
    "letter-beside", _WARNING, "Letters of fingers stand at other notes than those that are picked."
)

# Rows and systems ----------------------------------------------------------------------------

ROWS = ProblemKind(
    "rows", _ERROR, "A system has more or fewer rows than the instrument has strings."
)
ROW_LEFT_OUT = ProblemKind(
    "row-left-out", _NOTICE, "A string has no row in a system; nothing is played on it there."
)
EXTRA_ROW = ProblemKind(
    "extra-row", _WARNING, "A line without bars among rows with bars is left out."
)
WRAPPED = ProblemKind("wrapped", _NOTICE, "Rows that a mail program wrapped are put together.")
UPSIDE_DOWN = ProblemKind("upside-down", _NOTICE, "The rows stand upside down.")
LEADS = ProblemKind(
    "leads", _NOTICE, "A system leaves more or less room behind its bars than the others."
)
GAPS_AS_BARS = ProblemKind("gaps-as-bars", _NOTICE, "Gaps in all rows are read as bar lines.")
BARS_DIFFER = ProblemKind(
    "bars-differ",
    _WARNING,
    "The rows of a system have different bar lines, or one ends before the others.",
    also=(_NOTICE,),
)
ROWS_OUT_OF_STEP = ProblemKind(
    "rows-out-of-step",
    _WARNING,
    "The rows of a system do not end together.",
    also=(_NOTICE,),
)
OWN_PEG = ProblemKind(
    "own-peg", _WARNING, "Frets of the short string are read as counted from its own peg."
)
COLUMN_BESIDE = ProblemKind(
    "column-beside", _WARNING, "A note stands a column beside the one that it is read in."
)
BROKEN_MEASURE = ProblemKind(
    "broken-measure", _NOTICE, "A measure that goes on in the next system is put together."
)
LEADING_BACK = ProblemKind(
    "leading-back", _NOTICE, "A first ending that no repeat closes is read as leading back."
)
REPEAT_SIGN = ProblemKind(
    "repeat-sign", _NOTICE, "A repeat sign at the end of a line is read as one that closes."
)
MEASURE_NUMBERS = ProblemKind(
    "measure-numbers", _NOTICE, "Numbers over the rows are those of the measures."
)
METER_IN_ROWS = ProblemKind(
    "meter-in-rows", _NOTICE, "Figures before the first measure are the time signature."
)

# Notes as typed ------------------------------------------------------------------------------

LETTER_FOR_ZERO = ProblemKind("letter-for-zero", _NOTICE, "The letter o is read as the figure 0.")
LETTER_FOR_ONE = ProblemKind("letter-for-one", _NOTICE, "The letter l is read as the figure 1.")
LETTERS_FOR_FRETS = ProblemKind(
    "letters-for-frets", _NOTICE, "Letters are read as frets: a for an open string, b for fret 1."
)
TWO_NOTES = ProblemKind(
    "two-notes",
    _NOTICE,
    "Figures side by side are read as several notes.",
    also=(_WARNING,),
)
CLOSE_CALL = ProblemKind(
    "close-call", _NOTICE, "Figures side by side might be one note or several."
)
FAR_SLIDE = ProblemKind(
    "far-slide", _NOTICE, "A slide sign is too far from a note to lead from it or to it."
)
BRACKET = ProblemKind("bracket", _WARNING, "A bracket around a fret is not closed.")
STRUCK_TOGETHER = ProblemKind(
    "struck-together",
    _NOTICE,
    "A word for a brush or a pinch stands at a single note.",
    also=(_WARNING,),
)
GRACE = ProblemKind(
    "grace", _WARNING, "A grace note stands before nothing, or cannot be played.", also=(_NOTICE,)
)
FRET = ProblemKind("fret", _ERROR, "A fret does not exist on its string.", also=(_WARNING,))
STROKES = ProblemKind(
    "strokes", _NOTICE, "Signs beside the rows are read as down-strokes and up-strokes."
)
LEFT_HAND = ProblemKind(
    "left-hand", _WARNING, "Finger numbers do not fit the strings that are stopped."
)

# What is known of the tune -------------------------------------------------------------------

INSTRUMENT = ProblemKind(
    "instrument",
    _NOTICE,
    "The instrument is found from the rows, or its name is not known.",
    also=(_WARNING,),
)
TUNING = ProblemKind(
    "tuning",
    _ERROR,
    "The tuning is not known, or the notes speak for another one.",
    also=(_WARNING,),
)
TUNING_INFERRED = ProblemKind("tuning-inferred", _NOTICE, "No tuning is named; the notes decide.")
TUNING_ASSUMED = ProblemKind(
    "tuning-assumed", _NOTICE, "No tuning is named; the usual one is assumed."
)
LABELS = ProblemKind(
    "labels",
    _WARNING,
    "The labels of the rows say another tuning than the heading.",
    also=(_NOTICE,),  # of the usual tuning, typed by habit
)
CAPO = ProblemKind("capo", _WARNING, "The words for the capo name no fret.")
CAPO_IN_TUNING = ProblemKind("capo-in-tuning", _NOTICE, "The tuning's name has the capo in it.")
FIFTH_STRING = ProblemKind(
    "fifth-string", _WARNING, "The words do not say how the fifth string is set."
)
KEY = ProblemKind("key", _WARNING, "The words are no key.")
TIME = ProblemKind("time", _WARNING, "The words are no time signature.")
TEMPO = ProblemKind("tempo", _WARNING, "The words are no tempo.")
IN_WORDS = ProblemKind(
    "in-words",
    _NOTICE,
    "What a heading would say is found in a sentence, or two such things are.",
    also=(_WARNING,),
)
METER_ASSUMED = ProblemKind("meter-assumed", _NOTICE, "No time is named; the notes decide.")

# Rhythm --------------------------------------------------------------------------------------

MEASURE_LENGTH = ProblemKind(
    "measure-length",
    _WARNING,
    "A measure is shorter or longer than the meter.",
    also=(_NOTICE,),
)
TIED_FRETS = ProblemKind(
    "tied-frets", _WARNING, "A tie stands between two different frets.", also=(_NOTICE,)
)
RHYTHM_UNSURE = ProblemKind("rhythm-unsure", _NOTICE, "The rhythm of a measure is not sure.")

# The order of play ---------------------------------------------------------------------------

NEVER_PLAYED = ProblemKind("never-played", _WARNING, "No pass through the tune reaches a measure.")
TOO_OFTEN = ProblemKind("too-often", _WARNING, "A repeat is said to be played very often.")

# MusicXML that is read -----------------------------------------------------------------------

XML = ProblemKind("xml", _ERROR, "The file is no well-formed XML.")
MUSICXML = ProblemKind(
    "musicxml",
    _ERROR,
    "The file is XML, but no score that can be read, or has more parts than one.",
    also=(_NOTICE,),
)
LEFT_OUT = ProblemKind("left-out", _NOTICE, "What a score does not hold is left out.")
KEY_CHANGE = ProblemKind("key-change", _WARNING, "The key changes later; a score has one.")
METER_CHANGE = ProblemKind("meter-change", _WARNING, "The meter changes inside a measure.")
TEMPO_CHANGE = ProblemKind("tempo-change", _WARNING, "The tempo changes later; a score has one.")
TUNING_CHANGE = ProblemKind(
    "tuning-change", _WARNING, "The tuning is given again later; the first is read."
)
VOICES = ProblemKind("voices", _WARNING, "What is said of a second voice is not understood.")
MEASURE_REPEAT = ProblemKind(
    "measure-repeat", _WARNING, "A sign that repeats a measure is not read."
)
METER = ProblemKind("meter", _WARNING, "A kind of time signature is not understood.")
OUT_OF_MEASURE = ProblemKind(
    "out-of-measure", _WARNING, "A step back in time leads to before the measure."
)
TIED = ProblemKind("tied", _NOTICE, "A tie joins no notes, or leads to one that is left to ring.")
STAFF_AND_TAB = ProblemKind(
    "staff-and-tab", _ERROR, "The staff and the tab of a score disagree.", also=(_WARNING, _NOTICE)
)
PITCH = ProblemKind("pitch", _WARNING, "A fret does not sound the pitch that is written.")
RANGE = ProblemKind(
    "range", _ERROR, "A pitch cannot be played on the instrument.", also=(_WARNING,)
)
ONE_STRING = ProblemKind(
    "one-string", _WARNING, "Notes of a score are on one string at once, which cannot sound."
)
UNISON = ProblemKind("unison", _NOTICE, "A pitch that is written twice in a chord is played once.")
FINE_TIMES = ProblemKind(
    "fine-times", _NOTICE, "Times of a score are finer than text can hold; it has the nearest."
)
TYPED_OTHERWISE = ProblemKind(
    "typed-otherwise",
    _WARNING,
    "Measures of a score, typed as text, would be read with another rhythm or other notes.",
)
RESTS = ProblemKind(
    "rests", _NOTICE, "Rests of one voice are lost in another, or put in where nothing stands."
)
FRETS = ProblemKind("frets", _NOTICE, "Notes had no string and fret; the easiest were searched.")

# What an editor would mark -------------------------------------------------------------------

CHORD = ProblemKind("chord", _WARNING, "A chord name does not fit the notes under it.")
ENDING = ProblemKind("ending", _WARNING, "An ending has no partner, or does not lead back.")
FOREIGN = ProblemKind("foreign", _WARNING, "A note is foreign to the chord and to what is like it.")
JUMP = ProblemKind("jump", _WARNING, "A jump leads nowhere, or is not made.")
LENGTH = ProblemKind("length", _WARNING, "A measure is shorter or longer than its neighbours.")
LINK = ProblemKind("link", _WARNING, "A hammer-on does not rise, or a pull-off does not fall.")
LONG = ProblemKind("long", _WARNING, "A measure is as long as two.")
REPEAT = ProblemKind("repeat", _WARNING, "A repeat is not opened or not closed.")
ROLL = ProblemKind("roll", _WARNING, "A measure departs from the roll of the tune.")
ROWS_EXCHANGED = ProblemKind(
    "rows-exchanged", _WARNING, "Two rows of a system seem to be exchanged."
)
SLIP = ProblemKind("slip", _WARNING, "A note differs by a little from where the same is played.")
STRETCH = ProblemKind("stretch", _WARNING, "Frets are stopped at once that no hand reaches.")

# Folders, figures and the bench --------------------------------------------------------------

BENCH = ProblemKind("bench", _ERROR, "The bench cannot do what was asked.")
FIGURE = ProblemKind("figure", _ERROR, "A figure cannot be made.")
FIGURE_OPTION = ProblemKind("figure-option", _ERROR, "An option of a figure is not known.")
NAME = ProblemKind("name", _NOTICE, "An output has another name than its source.")
OLD = ProblemKind("old", _NOTICE, "An output is left from an earlier run.")
WORKER = ProblemKind("worker", _ERROR, "A worker was lost over a file.")
INTERNAL = ProblemKind("internal", _ERROR, "rollstave itself failed.")

# Notices that may say why there is an error: how the rows were read before it was found.
EXPLAIN_ERRORS = (
    DIALECT,
    LEGEND,
    WRAPPED,
    UPSIDE_DOWN,
    GAPS_AS_BARS,
    INSTRUMENT,
    TUNING_INFERRED,
    TUNING_ASSUMED,
    MUSICXML,
)

PROBLEM_KINDS: dict[str, ProblemKind] = {
    kind.code: kind for kind in tuple(globals().values()) if isinstance(kind, ProblemKind)
}
