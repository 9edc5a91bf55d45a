"""Facts that words name and that no heading has."""

from __future__ import annotations

import re

from rollstave.grid.typed import Bar, FreeText, Heading
from rollstave.patterns import rare
from rollstave.problems import Severity
from rollstave.reading.doubting.legends import stands_in_rows
from rollstave.reading.doubting.read import Read
from rollstave.reading.saying.judge import ASKED, probability
from rollstave.reading.saying.parse import Found, found_in, may_tell
from rollstave.reading.saying.times import times_said
from rollstave.reading.words.directions import is_order_of_parts
from rollstave.reading.words.titles import heads_a_sheet, is_ruler, looks_named
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.doubtful import OF_TUNE
from rollstave.vocabulary.headings import ROWS
from rollstave.vocabulary.signs import COMMON, ROUND, Signs

_PATTERNS = tuple((row, rare(row.pattern, re.IGNORECASE, row.cues)) for row in OF_TUNE)
_KINDS = {"tempo": kinds.TEMPO, "capo": kinds.CAPO, "time": kinds.TIME}


def facts_not_read(read: Read) -> None:
    """Say which words name a fact that no heading has."""
    texts = [(note.text, note.place) for note in read.grid.notes]
    texts += [(h.text, h.place) for h in read.grid.headings if h.key not in _KINDS]
    for row, pattern in _PATTERNS:
        if read.tune.has_heading(row.key):
            continue
        found = next(((m, place) for text, place in texts if (m := pattern.search(text))), None)
        if found is not None and _KINDS[row.key].code in read.state.problems.codes(found[1].line):
            continue
        if found is not None:
            words, place = found[0][0].strip(), found[1]
            read.say(
                _KINDS[row.key],
                f"the words {words!r} may name the {ROWS[row.key].name.lower()}, which is not "
                f"read; if so, add a line such as: {row.example}",
                place,
            )


_ORDERED = {
    "order": "a part that is played more than once; type |: and :| around it",
    "ending": "an ending; type 1. and 2. over the measures",
    "section": "a part; write its name as [name] on a line of its own over its rows",
}
_ORDERED["repeat"] = _ORDERED["order"]
_HEADS = 4  # words at most over an ending
_LONGEST = 200  # characters of words that order something


def told_and_not_there(read: Read) -> None:
    """Say which words tell of an order, an ending, a sign that nothing was made of."""
    measures = read.grid.measures
    shown = {
        "ending": any(m.ending for m in measures),
        "order": any(m.times or m.right is Bar.REPEAT_END for m in measures),
        "section": any(m.section for m in measures),
    }
    shown["repeat"] = shown["order"]
    sought = (*(fact for fact in _ORDERED if not shown[fact]), "legend")
    for note in read.grid.notes:
        if len(note.text) > _LONGEST or read.state.problems.columns(note.place.line):
            continue
        for found in found_in(note.text, sought) if may_tell(note.text, sought) else ():
            if found.fact not in sought or probability(found) < ASKED:
                continue
            if found.fact == "ending" and _is_no_ending(note.text, found):
                continue
            if found.fact in _ORDERED:
                if found.fact == "ending" and _says_how(note, len(measures)):
                    break
                if found.fact == "order" and is_order_of_parts(note.text):
                    break  # said where the order is kept as words
                read.say(
                    kinds.NOT_FOLLOWED,
                    f"these words may tell of {_ORDERED[found.fact]}",
                    note.place,
                )
                break
            sign = _sign_not_taken(found, read.state.signs) if found.fact == "legend" else ""
            if sign and stands_in_rows(read, sign):
                read.say(
                    kinds.LEGEND,
                    f"what these words tell of {sign} is not taken; it is read as usual",
                    note.place,
                    Severity.WARNING,
                )
                break


# What other notes are played is an ending; how those that are there are played is none.
_OTHER_NOTES = rare(
    r"\b(?:ending|ends?|finish\w*|stops?|instead|this|these|here|bars?|measures?)\b",
    re.IGNORECASE,
    cues=("end", "finish", "stop", "instead", "this", "these", "here", "bar", "measure"),
)


def _says_how(note: FreeText, measures: int) -> bool:
    """True for a sentence under the whole tune that says how a pass is played: ``The second time
    leave out the thumb``."""
    words = note.text.split()
    return (
        note.before_measure >= measures
        and len(words) > _HEADS
        and _OTHER_NOTES.search(note.text) is None
    )


# How a pass is played, whatever else is said of it; and what is no pass at all: in one go.
_HOW = rare(
    r"\b(?:hum|sing|octave|soft\w*|quiet\w*|loud\w*|slow\w*|fast\w*|clap|stamp|whistle|dance)\b",
    re.IGNORECASE,
)
_AT_ONCE = re.compile(r"\bin\s*$", re.IGNORECASE)
_ALONE = "nth time somewhere"


# "Once", "the second time go on here"
_GOES_ON = rare(
    r"^\W*(?:just\s+|only\s+)?once\W*$|\btimes\s+through\b|\btime\s+(?:you\s+|we\s+)?(?:go|carry)\s+on\b",
    re.IGNORECASE,
    cues=("once", "time"),
)


def _is_no_ending(text: str, found: Found) -> bool:
    """True where words of a second time say how it is played, or stand at the end of a sentence
    and name no other notes."""
    if _GOES_ON.search(text) or times_said(text):  # "Teil B (einmal)"
        return True
    behind = re.split(r"[.!?]", text[found.end :])[0]
    if _HOW.search(behind) or _AT_ONCE.search(text[: found.start]):
        return True
    alone = found.way == _ALONE and found.start > 0 and not behind.rstrip().endswith((":", "="))
    return alone and _OTHER_NOTES.search(behind) is None


def _sign_not_taken(found: Found, signs: Signs) -> str:
    """The sign that words explain otherwise than it is read; empty if it is read so."""
    if not isinstance(found.value, tuple) or isinstance(found.value[0], tuple):
        return ""
    sign, means = str(found.value[0]), str(found.value[1])
    own = {one.sign for one in signs.own}
    common = COMMON.meanings.get(sign) or COMMON.meanings.get(sign.casefold())
    if sign in own or len(means) == 1 or (common is not None and common.name == means):
        return ""
    # A string that is choked has no pitch: it is an x as any other.
    as_usual = sign in "xX" and means in ("muted", "bend")
    as_usual = as_usual or (sign == ROUND and means == signs.brackets.name)
    return "" if as_usual or (sign == "<>" and means == "harmonic") else sign


_SAID = rare(r"\W*(?:title|tune|name|song)\b", re.IGNORECASE)
_NAME = 4  # letters of the longest word of a name
# More than a name: a gap, a time, an equals sign, letters apart, a reply, a colon, who made it.
_MORE = rare(
    r"\S {3,}\S|\t|\d\s?/\s?\d|=|^(?:\w ){3,}|\b(?:re|fwd?|aw):|:\s|\b(?:tuning|tuned|capo|key of"
    r"|bpm|arr|tab|banjo|version)\b|[?!]\W*$|[\"“]| - "
    r"|(?-i:[a-z]{3}\.\s+[A-Z]|^[a-z]\S*(?:\s+\S+){6})",
    re.IGNORECASE,
)


def title_in_doubt(read: Read) -> None:
    """Say of a title that was guessed from its place whether it seems to be more than a name, or
    the name of something else."""
    title = read.tune.title
    if title is None or read.tune.title_judged:
        return
    line = read.line(title.place.line)
    text = title.text
    if line is None or (_SAID.match(line.text) and not _SAID.match(text)):
        return
    other = _better(read, title)
    sheet = heads_a_sheet(text) and not read.state.exercises  # over exercises it is their title
    if _MORE.search(text) or sheet or other:
        read.say(
            kinds.TITLE_LINE,
            f"{text!r} is taken for the title"
            + (f", and {other!r} may be it" if other else ", and it may say more than the name")
            + "; if that is wrong, add a line with the right one that begins: Title:",
            title.place,
            Severity.WARNING,
        )


def _better(read: Read, title: Heading) -> str:
    """Another line before the measures that is written as a name is, where the title is not."""
    for note, line in read.whole_lines():
        if note.before_measure > 0:
            break
        text = note.text.strip()
        words = text.split()
        if (
            not 1 < len(words) < 8
            or max(map(len, words)) < _NAME
            or not looks_named(text)
            or "|" in text
        ):
            continue
        louder = text.isupper() and not title.text.isupper() and line.number > title.place.line
        if louder or not looks_named(title.text):
            index = read.index_of[line.number]
            above = read.state.lines[index - 1] if index else None
            if above is None or above.blank or is_ruler(above) or louder:
                return text
    return ""
