"""The title of the first tune, chosen among all that its head may name.

The rules take the first words that can be a title. Here all candidates of the head, and that there
is none, are held against each other by a fitted model: the likeliest is the title, with a warning
where it is not likely enough, and is only told of where it has been taken for something else.
"""

from __future__ import annotations

from msgspec.structs import replace

from rollstave.grid.typed import FreeText, Heading
from rollstave.problems import Severity
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState, TuneSoFar
from rollstave.reading.words import titles
from rollstave.reading.words.name_score import NAMED, points
from rollstave.reading.words.names import is_sentence
from rollstave.reading.words.title_candidates import NONE, Candidate
from rollstave.reading.words.title_line import split_title
from rollstave.reading.words.title_model import (
    Weighed,
    plain_name,
    signs_of_candidates,
    weighed,
    weights,
)
from rollstave.reading.words.title_signs import may_name
from rollstave.vocabulary import problems as kinds

# From here on the model is believed: see what ``python -m tests.benchmarks.titles`` says of texts
# that it was not fitted on.
SURE = 0.8
TAKEN = 0.5  # and from here on taken, and doubtful
_SURER = 0.9  # where the rules took words that are written as a name, too
_LEAST = 0.6  # below this what the rules took is doubtful, though nothing is likelier
_LIKELY = 2 / 3  # from here on it is worth a warning
_AROUND = ' \t,;:-*=~#"“”„«»[]<>'
_MADE = ("composer", "arranger", "source")


def title_chosen(state: ReadingState, tune: TuneSoFar) -> tuple[bool, Weighed | None]:
    """Choose the title of a tune that was guessed from its place, or that has none. True if the
    model is sure of it; else the name that it prefers to the title, if it does."""
    old = tune.title
    if tune is not state.tunes[0] or tune.numbered:
        return False, None
    names = weighed(of_head(state), weights())
    best = names[0]
    elsewhere = (plain_name(n.candidate.name) for n in names)
    if old and len(old.text) > 1 and plain_name(old.text) not in elsewhere:
        return False, None  # taken from elsewhere, as from the head of a mail
    sure = best.likely >= SURE
    if plain_name(best.candidate.name) == plain_name(old.text if old else ""):
        if old is not None and best.likely < _LEAST:
            _doubted(state, tune, old)
        return sure, None
    if best.candidate is NONE:  # what the rules took is kept, and held against the other lines
        return False, None
    return best.likely >= TAKEN and _taken(state, tune, old, best), best


def _doubted(state: ReadingState, tune: TuneSoFar, old: Heading) -> None:
    """Say that a title is the likeliest of all words, and hardly likely."""
    tune.title_judged = True
    state.problems.add(
        kinds.TITLE_LINE,
        f"{old.text!r} is taken for the title, and other words are nearly as much like one; if "
        "that is wrong, add a line with the right one that begins: Title:",
        old.place,
        Severity.WARNING,
    )


def of_head(state: ReadingState) -> list[tuple[Candidate, list[str]]]:
    """The candidates of the head of a file or chapter, and of what stands under the last rows
    where it has one tune, with their signs."""
    lines = state.lines
    over = min(state.block_at, default=0)
    rows = max((i for i, row in enumerate(state.rows) if row is not None), default=len(lines) - 1)
    under = rows + 1 if len(state.tunes) == 1 else len(lines)
    return signs_of_candidates(lines, over, under, "\n".join(line.text for line in state.typed))


def _taken(state: ReadingState, tune: TuneSoFar, old: Heading | None, best: Weighed) -> bool:
    """Make a name the title; what stands around it, and the old title, stay as words. False if
    the name has been taken for something else."""
    candidate = best.candidate
    line = state.lines[candidate.index]
    name = candidate.name
    typed = line.text[candidate.start : candidate.end]
    place = line.place(candidate.start)
    same = old is not None and old.place.line == line.number and typed in old.text
    note = next((n for n in tune.notes if n.place.line == line.number and typed in n.text), None)
    if name in tune.section_names:
        return False
    as_source = next((h for h in tune.headings if (h.key, h.text) == ("source", typed)), None)
    if as_source is not None:
        tune.headings.remove(as_source)  # it stood behind a dash, as sources do
    elif any(
        typed in h.text and (note is None or h.place.line == line.number) and h is not old
        for h in tune.headings
    ):
        return False  # it tells something else
    kept: list[FreeText] = []  # a sentence keeps its words
    if same and old is not None:
        kept = _around(line, old.text, old.place.column - 1, typed)
    elif note is not None and candidate.found != "run" and not is_sentence(note.text):
        tune.notes.remove(note)
        kept = [
            replace(text, before_measure=note.before_measure)
            for text in _around(line, note.text, note.place.column - 1, typed)
        ]
    made = [] if same else _made_by(state, tune, candidate)
    kept = [text for text in kept if not any(heading.text in text.text for heading in made)]
    if old is not None:
        state.problems.take_back((kinds.TITLE_LINE.code,), old.place, (Severity.NOTICE,))
        tune.headings.remove(old)
        kept += [] if same else [FreeText(old.text, old.place, 0)]
    tune.headings.insert(0, Heading("title", name, place))
    tune.headings.extend(made)
    tune.notes[:0] = kept
    tune.notes.sort(key=lambda n: (n.before_measure, n.place.line, n.place.column))
    tune.title_judged = True
    if old is None:
        two = False
        said = f"{name!r} is taken for the title, as nothing else is more like one"
    else:
        counted = titles.is_counted(line.text) and len(state.tunes) > 1
        two = may_name(old.text) and not same and not counted  # either may be the title
        said = (
            f"{name!r} is taken for the title rather than {old.text!r}, which is less like a name"
        )
    state.problems.add(
        kinds.TITLE_LINE,
        f"{said}; if that is wrong, add a line with the right one that begins: Title:",
        place,
        Severity.WARNING if best.likely < (_SURER if two else SURE) else Severity.NOTICE,
    )
    return True


def _around(line: Line, words: str, column: int, typed: str) -> list[FreeText]:
    """What stands before and behind a name among words that begin in a column, from 0."""
    at = words.index(typed)
    rest = ((words[:at], column), (words[at + len(typed) :], column + at + len(typed)))
    return [
        FreeText(bare, line.place(min(start + text.index(bare), len(line.text))), 0)
        for text, start in rest
        if any(map(str.isalnum, bare := text.strip(_AROUND)))
    ]


def _made_by(state: ReadingState, tune: TuneSoFar, candidate: Candidate) -> list[Heading]:
    """Who made a tune, where that stands behind its name."""
    line = state.lines[candidate.index]
    before = line.text[: candidate.start].rstrip()
    start = candidate.start - (before[-1:] in tuple('"“'))
    _, more = split_title(line, start, line.text[start:].rstrip())
    return [h for h in more if h.key in _MADE and not tune.has_heading(h.key)]


def say_preferred(state: ReadingState, tune: TuneSoFar, best: Weighed) -> None:
    """Say that another name may be the title, if it is much more likely one than all others,
    and is written as one."""
    old = tune.title
    name, index = best.candidate.name, best.candidate.index
    if old is None or best.likely < _LIKELY or points(state.lines, index, name) < NAMED:
        return
    line = state.lines[index]
    tune.title_judged = True
    state.problems.add(
        kinds.TITLE_LINE,
        f"{old.text!r} is taken for the title, and {name!r} in line {line.number} may "
        "be it; if that is wrong, add a line with the right one that begins: Title:",
        old.place,
        Severity.WARNING,
    )
