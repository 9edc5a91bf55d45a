"""The title of the first tune, chosen among all that its head may name.

The rules take the first words that can be a title. Here all candidates of the head are held
against each other by a fitted model: what it is sure of is the title, what it only prefers is said.
"""

from __future__ import annotations

from rollstave.grid.typed import FreeText, Heading
from rollstave.problems import Severity
from rollstave.reading.state import ReadingState, TuneSoFar
from rollstave.reading.words import titles
from rollstave.reading.words.name_score import NAMED, points
from rollstave.reading.words.title_candidates import Candidate
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
_LIKELY = 2 / 3  # from here on it is worth a warning
_AROUND = ' \t,;:-*=~#"“”„«»[]<>'
_MADE = ("composer", "arranger", "source")


def title_chosen(state: ReadingState, tune: TuneSoFar) -> tuple[bool, Weighed | None]:
    """Choose the title of a tune that was guessed from its place. True if the model is sure of it;
    else the name that it prefers to the title, if it does."""
    old = tune.title
    if old is None or tune is not state.tunes[0] or tune.numbered:
        return False, None
    names = weighed(of_head(state), weights())
    if not names:
        return False, None
    best = names[0]
    sure = best.likely >= SURE
    if plain_name(best.candidate.name) == plain_name(old.text):
        return sure, None
    return sure and _taken(state, tune, old, best), best


def of_head(state: ReadingState) -> list[tuple[Candidate, list[str]]]:
    """The candidates of the head of a file or chapter, with their signs."""
    head = state.lines[: min(state.block_at, default=0)]
    return signs_of_candidates(head, "\n".join(line.text for line in state.typed))


def _taken(state: ReadingState, tune: TuneSoFar, old: Heading, best: Weighed) -> bool:
    """Make a name the title; what stands around it, and the old title, stay as words. False if
    the name has been taken for something else."""
    candidate = best.candidate
    line = state.lines[candidate.index]
    name = candidate.name
    typed = line.text[candidate.start : candidate.end]
    place = line.place(candidate.start)
    note = next((n for n in tune.notes if n.place.line == line.number and typed in n.text), None)
    same = old.place.line == line.number and typed in old.text
    if note is None and not same:
        return False
    if same:
        words, column = old.text, old.place.column - 1
    elif note is not None:
        words, column = note.text, note.place.column - 1
        tune.notes.remove(note)
    counted = titles.is_counted(line.text) and len(state.tunes) > 1
    two = may_name(old.text) and not same and not counted  # either may be the title
    at = words.index(typed)
    made = [] if same else _made_by(state, tune, candidate)
    rest = ((words[:at], column), (words[at + len(typed) :], column + at + len(typed)))
    kept = [
        FreeText(bare, line.place(min(start + text.index(bare), len(line.text))), 0)
        for text, start in rest
        if any(map(str.isalnum, bare := text.strip(_AROUND)))
        and not any(heading.text in bare for heading in made)
    ]
    tune.headings.remove(old)
    tune.headings.insert(0, Heading("title", name, place))
    tune.headings.extend(made)
    if not same:
        kept.append(FreeText(old.text, old.place, 0))
    tune.notes[:0] = kept
    tune.notes.sort(key=lambda n: (n.before_measure, n.place.line, n.place.column))
    tune.title_judged = True
    state.problems.add(
        kinds.TITLE_LINE,
        f"{name!r} is taken for the title rather than {old.text!r}, which is less like a name; "
        "if that is wrong, add a line with the right one that begins: Title:",
        place,
        Severity.WARNING if two else Severity.NOTICE,
    )
    return True


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
