"""Rules for lines of words that say something of a whole tune: headings and titles."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import chain, pairwise

from msgspec.structs import replace

from rollstave.grid.typed import FreeText, Heading
from rollstave.patterns import rare
from rollstave.problems import Severity
from rollstave.reading.beside.attach import CHORD
from rollstave.reading.labelling.judge import sure_of
from rollstave.reading.ledger import Use
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState, TuneSoFar
from rollstave.reading.words import titles
from rollstave.reading.words.changes import add_heading, may_change
from rollstave.reading.words.directions import is_jump
from rollstave.reading.words.headings import REMARK, read_headings, remark_after
from rollstave.reading.words.name_part import name_part
from rollstave.reading.words.taking import begin_section, indent, leftover, note, under_exercise
from rollstave.reading.words.title_line import begins_with_instrument, split_title
from rollstave.reading.words.whole_sentences import is_prose, with_whole_sentences
from rollstave.vocabulary import problems as kinds

# What is believed behind words that are neither title nor heading.
_BELIEVED = ("tuning", "key", "time", "tempo", "capo", "fifth string")

# "Bar 1 (Em)": what is said of a measure holds for no tune.
_OF_A_MEASURE = rare(r"(?:bar|meas(?:ure|\.)|m\.)\s?\d", re.IGNORECASE, cues=("bar", "m"))
_QUOTES = '"“'  # around the name of a tune

# Who sent a page, and when.
_POSTED = rare(
    r"\W*(?:(?:posted|sent|submitted|uploaded)\s+(?:by|on)"
    r"|(?:tabs?|tabbed|typed|notes)\s+(?:out\s+)?(?:from|by))\b",
    re.IGNORECASE,
    ("posted", "sent", "submitted", "uploaded", "tab", "typed", "notes"),
)


def value_of_heading(state: ReadingState, index: int) -> bool:
    """Pass over the line that a heading above has taken for its value."""
    return index in state.taken


def may_be_headings(state: ReadingState, index: int) -> bool:
    """True for a line that has a heading in it."""
    return bool(read_headings(state.lines[index], head=not state.tune.measures))


def headings(state: ReadingState, index: int) -> bool:
    """Take a line of headings."""
    line = state.lines[index]
    found = read_headings(line, head=not state.tune.measures)
    if not found:
        return False
    state.ledger.claim_line(line, Use.HEADING)
    _add(state, with_whole_sentences(line, _with_value(state, found, index)))
    return True


def title_of_further_tune(state: ReadingState, index: int) -> bool:
    """Begin a tune at a line that is the title of a further one."""
    text = state.lines[index].text
    # "H = HAMMER ON" in capitals under the last system tells of signs, and names no tune.
    sign = "=" in text.strip(" =") and index not in state.further
    if not state.tune.measures or is_jump(text) or sign:
        return False
    if state.further.get(index) == "version":
        _begin_version(state, index)
        return True
    first = _title_text(state)
    likely_one = index in state.further or (
        _alone(state, index) and sure_of(state, index) == "title"
    )
    if not likely_one and not (
        titles.begins_tune(state.lines, index, state.tune.numbered)
        or titles.capitals_alike(state.lines, index, first)
    ):
        return False
    line = state.lines[index]
    _begin_tune(state, line.number)
    _take_title(state, line)
    return True


def _begin_version(state: ReadingState, index: int) -> None:
    """Begin a tune that has the title of the one before, and the line as its part."""
    line = state.lines[index]
    _begin_tune(state, line.number)
    state.tune.version = True
    state.ledger.claim_line(line, Use.SECTION)
    begin_section(state, line, line.text.strip().strip(":*#=~- "), "")


def title_once_more(state: ReadingState, index: int) -> bool:
    """Pass over the tune's title once more, as at the head of a further page."""
    line, text = state.lines[index], _title_text(state)
    if not (state.tune.measures and text and _alone(state, index)):
        return False
    if not _same(text, titles.without_continued(line.text)):
        return False
    state.ledger.claim_line(line, Use.FRAME)
    return True


def title(state: ReadingState, index: int) -> bool:
    """Take the first words of a tune for its title, until some stand more like one."""
    if not _is_title(state, index):
        return False
    _take_title(state, state.lines[index])
    state.tune.title_guessed = True
    state.tune.sure_title = sure_of(state, index) == "title"
    return True


def words_and_headings(state: ReadingState, index: int) -> bool:
    """Take headings behind words that are no title: ``Otter's Run   Tuning: gDGCD``."""
    line, tune = state.lines[index], state.tune
    text = line.text.strip()
    if tune.measures or len(text) > titles.LONGEST_LINE or _OF_A_MEASURE.match(text):
        return False
    words, more = split_title(line, line.text.find(text), text)
    if words == text or not any(h.key in _BELIEVED for h in more):
        return False
    state.ledger.claim_line(line, Use.HEADING)
    old = tune.title
    if old and tune.title_guessed and text[0] in _QUOTES and titles.heads_a_sheet(old.text):
        forget_guess(state, tune, words)
        tune.headings.append(Heading("title", words, line.place(line.text.find(words))))
    elif old and tune.title_guessed and old.text.startswith(words):
        # The title of a page says more than the one over the tune.
        tune.headings.remove(old)
        tune.headings.append(Heading("title", words, line.place(line.text.find(words))))
    else:
        bare = words.lstrip("([") if words.count("(") > words.count(")") else words
        whole = is_prose(text) and remark_after(text) is None
        note(state, line, line.text.find(bare), text if whole else bare)
        more = [heading for heading in more if heading.key != REMARK or not whole]
    _add(state, more)
    return True


def _begin_tune(state: ReadingState, first_line: int) -> None:
    leftover(state)
    state.tunes.append(TuneSoFar(first_line=first_line))


def _add(state: ReadingState, found: Sequence[Heading]) -> None:
    """Add headings to the tune, or to a new one if a title is among them after measures."""
    if any(h.key == "title" for h in found) and state.tune.measures and not _ends(state, found):
        _begin_tune(state, found[0].place.line)
    tune = state.tune
    if not tune.measures and not tune.has_heading("key"):
        found = _with_bare_key(found)
    found = _with_bare_tempo(found)
    if tune.title_guessed:
        found = [*found[:1], *map(_by_whom, found[1:])]
    for heading in chain.from_iterable(_with_its_own(state, heading) for heading in found):
        if heading.key == REMARK:
            if not any(map(str.isalnum, heading.text)):  # what stood between headings
                continue
            tune.notes.append(FreeText(heading.text, heading.place, len(tune.measures)))
            continue
        if heading.key == "title" and tune.title_guessed:
            forget_guess(state, tune, heading.text)
        if may_change(state, heading):
            tune.changes.append((heading, None))
        else:
            add_heading(state, tune, heading)


def _ends(state: ReadingState, found: Sequence[Heading]) -> bool:
    """True for headings under the last rows, which name the tune above where nothing else does."""
    last = max(state.block_at, default=0)
    under = found[0].place.line > state.lines[last].number
    return under and (state.tune.title is None or state.tune.title_guessed)


_BARE_KEY = rare(r"[A-G][#b♯♭]?m?\.?")
_FACTS = frozenset(("tuning", "time", "capo", "tempo"))  # beside which a letter alone is the key


def _with_bare_key(found: Sequence[Heading]) -> Sequence[Heading]:
    """The headings of a line with its key, where a letter stands alone among other facts:
    ``GDAE, 6/8, G``."""
    keys = {heading.key for heading in found}
    bare = [h for h in found if h.key == REMARK and _BARE_KEY.fullmatch(h.text.strip())]
    if "key" in keys or keys.isdisjoint(_FACTS) or len(bare) != 1:
        return found
    key = replace(bare[0], key="key", text=bare[0].text.strip().rstrip("."))
    return [key if heading is bare[0] else heading for heading in found]


def _with_bare_tempo(found: Sequence[Heading]) -> Sequence[Heading]:
    """The headings of a line with its tempo, where a number stands behind a pace: ``slow, 84``."""
    for before, number in pairwise(found):
        beats = _BEATS.fullmatch(number.text.strip()) if number.key == REMARK else None
        if beats and (before.key == "pace" or (before.key == "time" and beats["about"])):
            tempo = replace(number, key="tempo")
            return [tempo if heading is number else heading for heading in found]
    return found


_PERSON = rare(r"\s*(?:[A-Z][a-z'’-]+|[A-Z]\.)(?:\s+[A-Z]\.)*\s+[A-Z][\w'’-]+\s*")


def _by_whom(heading: Heading) -> Heading:
    """Who made the tune, where a person stands behind facts as what the tune is called:
    ``key D, quarter = 100    tune: Orla Quist``."""
    person = heading.key == "title" and _PERSON.fullmatch(heading.text)
    return replace(heading, key="composer") if person else heading


_BEATS = rare(r"(?P<about>about\s+)?(?:[4-9]\d|1\d\d|2[0-4]\d)\.?", re.IGNORECASE)  # a minute


def _with_its_own(state: ReadingState, heading: Heading) -> list[Heading]:
    """A heading, and what else stands behind a title in quotes, before a wide gap or as a
    sentence."""
    text = heading.text.strip()
    divided = text.startswith(('"', "“")) or "   " in text or ". " in text
    if heading.key != "title" or not divided:
        return [heading]
    index = heading.place.line - state.first_line
    if not 0 <= index < len(state.lines) or state.lines[index].number != heading.place.line:
        return [heading]
    line = state.lines[index]
    title, more = split_title(line, max(0, line.text.find(text)), text)
    return [replace(heading, text=title), *more]


def _with_value(state: ReadingState, found: Sequence[Heading], index: int) -> list[Heading]:
    """The headings without one that says nothing; a value may stand on the next line."""
    *others, last = found
    if last.text.strip():
        return list(found)
    following = index + 1
    if following < len(state.lines) and following not in state.in_block:
        line = state.lines[following]
        own = read_headings(line) or ()  # "4/4" alone names its heading, too
        if not line.blank and not titles.is_ruler(line) and all(h.key == last.key for h in own):
            state.taken.add(following)
            state.ledger.claim_line(line, Use.HEADING)
            return [*others, Heading(last.key, line.text.strip(), line.place(indent(line)))]
    state.problems.add(kinds.HEADING_EMPTY, f"nothing is said of the {last.key} here", last.place)
    return others


def _take_title(state: ReadingState, line: Line) -> None:
    """Take the line of a title, with what else it says."""
    state.ledger.claim_line(line, Use.HEADING)
    typed = line.text.strip()
    text = titles.undressed(typed)
    state.tune.numbered = titles.is_numbered(typed)
    begins, _ = name_part(text)
    before, text = text[:begins].strip(" ,;-"), text[begins:]
    title, more = split_title(line, max(0, line.text.find(text)), text)
    title, around = _name_in(line, title)
    more = [*around, *more]
    if before:
        more.insert(0, Heading(REMARK, before, line.place(max(0, line.text.find(before)))))
    if state.tune.title_guessed:
        forget_guess(state, state.tune, title)
    place = line.place(max(0, line.text.find(title)))
    state.tune.headings.append(Heading("title", title, place))
    if more:
        state.problems.add(
            kinds.TITLE_LINE,
            f"this line is read as the title {title!r} and "
            + ", ".join(f"{h.key} {h.text!r}" for h in more),
            place,
        )
    _add(state, more)


def _name_in(line: Line, title: str) -> tuple[str, list[Heading]]:
    """The name in the words of a title, and what stands before and behind it."""
    start, end = name_part(title)
    if titles.heads_a_sheet(title) and not titles.heads_a_sheet(title[start:end]):
        return title, []  # what is left would hide whose heading it is
    at = max(0, line.text.find(title))
    around = []
    for a, b in ((0, start), (end, len(title))):
        words = title[a:b].strip(" ,;-\t")
        if words and b > a:
            around.append(Heading(REMARK, words, line.place(at + title.index(words, a))))
    return titles.undressed(title[start:end].strip(" ,;-")), around


def forget_guess(state: ReadingState, tune: TuneSoFar, title: str) -> None:
    """Make text of the first line, which was taken for the title: the typist names it somewhere
    else."""
    old = tune.title
    if old is None:
        return
    tune.headings.remove(old)
    tune.title_guessed = False
    state.problems.take_back((kinds.TITLE_LINE.code,), old.place, (Severity.NOTICE,))
    if old.text.casefold() != title.strip().casefold():
        tune.notes.insert(0, FreeText(old.text, old.place, 0))


def _is_title(state: ReadingState, index: int) -> bool:
    tune, line = state.tune, state.lines[index]
    if tune.measures or under_exercise(state) or not titles.could_be_title(line):
        return False
    old = tune.title
    text = line.text.strip()
    if begins_with_instrument(text) or _are_chords(text) or _POSTED.match(text):
        return False
    if _DATED.search(text):
        return False
    if old is None and not tune.headings and not tune.notes:
        return True
    if (
        sure_of(state, index) == "title"
        and "   " not in text
        and (old is None or tune.title_guessed)
    ):
        # What was taken for the title may be one, too: then the first of them is.
        return old is None or not state.tune.sure_title
    if old is not None and tune.title_guessed and titles.heads_a_sheet(old.text):
        loud = text.isupper() or titles.looks_named(text)
        if loud and len(text.split()) > 1 and not titles.heads_a_sheet(text):
            return True
    if old is not None and not (tune.title_guessed and not titles.looks_named(old.text)):
        return tune.title_guessed and (
            _same(old.text, line.text) or (not tune.numbered and _is_first_of_many(state, index))
        )
    name, _ = split_title(line, line.text.find(text), titles.undressed(text))
    if not titles.looks_named(name):
        return False
    loud = old is None and (text[0] in '"“' or (name.isupper() and len(name.split()) > 1))
    return loud or (not tune.notes and old is None) or _alone(state, index)


_DATED = rare(
    r"\b(?:mon|tues|wednes|thurs|fri|satur|sun)day,?\s+(?:the\s+)?\d"
    r"|\b\d{1,2}(?:st|nd|rd|th)?\s+(?:of\s+)?(?:january|february|march|april|june|july|august"
    r"|september|october|november|december)\b|^\W*(?:forwarded|original|begin)\w*\s+message\W*$",
    re.IGNORECASE,
)  # when it was typed, or sent on


def _are_chords(text: str) -> bool:
    """True for three words and more of which all but one could be chords."""
    words = text.split()
    return len(words) > 2 and sum(CHORD.match(word) is not None for word in words) >= len(words) - 1


def _is_first_of_many(state: ReadingState, index: int) -> bool:
    """True for a title with the number 1 where one with the number 2 follows after tab: what
    stood above is the title of all."""
    if titles.number_of(state.lines[index].text) != 1:
        return False
    first = next((at for at in sorted(state.block_at) if at > index), None)
    return first is not None and any(
        titles.number_of(line.text) == 2 for line in state.lines[first:]
    )


def _title_text(state: ReadingState) -> str:
    return state.tune.title.text if state.tune.title is not None else ""


def _alone(state: ReadingState, index: int) -> bool:
    before = state.lines[index - 1] if index else None
    return before is None or before.blank or titles.is_ruler(before)


def _same(one: str, other: str) -> bool:
    return one.strip().casefold() == titles.undressed(other.strip()).casefold()
