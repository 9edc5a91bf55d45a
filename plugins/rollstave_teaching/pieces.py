"""The phrases of a lesson, one by one: what is new, what is like something before, what is hard."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from rollstave import Exercise, Measure, Part, Score, Words
from rollstave_teaching.boundaries import sounds
from rollstave_teaching.hand import ends_on_plucks, rolls_of
from rollstave_teaching.hard import hardest
from rollstave_teaching.measures import looped
from rollstave_teaching.phrases import Likeness, Phrase, likeness, phrases_of
from rollstave_teaching.prose import words_of
from rollstave_teaching.wording import capital, in_words, listed, numbered, place

_FEW = 2  # strokes that differ which are told one by one


def phrases(score: Score) -> Part:
    """Each phrase as a loop; one that is like another by its difference alone."""
    found = phrases_of(score)
    blocks: list[Words | Exercise] = [
        Words(
            f"{_count(len(found))} Where phrases begin and end is worked out from what comes "
            "again and from the chords; your ear may hear it otherwise.",
            inferred=True,
        )
    ]
    likes = _likes(score, found)
    for run in _runs(score, found, likes):
        first, last = found[run[0]], found[run[-1]]
        blocks += words_of(score, "phrases", first.begin + (run[0] == 0), last.end)
        like, end = likes[run[0]], likes[run[-1]]
        if len(run) > 1 and like is not None and end is not None:
            blocks.append(Words(_all_same(score, (first, last), (like.like, end.like))))
        else:
            blocks += _phrase(score, first, like)
    blocks += words_of(score, "phrases", len(score.measures))
    blocks += _hardest(score)
    return Part(name="The phrases", blocks=tuple(blocks))


def _likes(score: Score, found: Sequence[Phrase]) -> list[Likeness | None]:
    """What each phrase is like. Of several that it is the same as, it goes on with the one after
    that which the phrase before it is the same as: a strain that comes again is told at once."""
    likes: list[Likeness | None] = []
    for position, phrase in enumerate(found):
        like = likeness(score, phrase, found[:position])
        before = likes[-1] if likes else None
        if like is not None and before is not None and not (like.differs or before.differs):
            following = [
                other for other in found[:position] if other.number == before.like.number + 1
            ]
            goes_on = likeness(score, phrase, following)
            like = like if goes_on is None or goes_on.differs else goes_on
        likes.append(like)
    return likes


def _runs(
    score: Score, found: Sequence[Phrase], likes: Sequence[Likeness | None]
) -> Iterator[list[int]]:
    """The places of phrases: those in one that are the same as phrases one after the other."""
    run: list[int] = []
    for position, like in enumerate(likes):
        before = likes[run[-1]] if run else None
        goes_on = (
            before is not None
            and like is not None
            and not before.differs
            and not like.differs
            and like.like.number == before.like.number + 1
            and not words_of(score, "phrases", found[position].begin, found[position].end)
        )
        if run and not goes_on:
            yield run
            run = []
        run.append(position)
    yield run


def _all_same(score: Score, own: tuple[Phrase, Phrase], others: tuple[Phrase, Phrase]) -> str:
    """``Phrases 5 to 8, measures 17 to 32: the same as phrases 1 to 4, measures ...``"""

    def told(first: Phrase, last: Phrase) -> str:
        between = "and" if last.number == first.number + 1 else "to"
        numbers = [m.number for m in score.measures[first.begin : last.end]]
        return f"phrases {first.number} {between} {last.number}, {numbered(numbers)}"

    return f"{capital(told(*own))}: the same as {told(*others)}. You have them already."


def _count(phrases: int) -> str:
    return f"{capital(in_words(phrases))} phrase{'s' * (phrases > 1)}."


def title(score: Score, phrase: Phrase) -> str:
    """``Phrase 2, measures 5 to 8``."""
    return f"Phrase {phrase.number}, {_measures(score, phrase)}"


def _measures(score: Score, phrase: Phrase) -> str:
    return numbered([m.number for m in score.measures[phrase.begin : phrase.end]])


def _phrase(score: Score, phrase: Phrase, like: Likeness | None) -> Iterator[Words | Exercise]:
    name = title(score, phrase)
    measures = score.measures[phrase.begin : phrase.end]
    if like is None:
        yield Exercise(name=name, score=looped(score, measures), why=_chords(measures))
        return
    other = f"phrase {like.like.number}, {_measures(score, like.like)}"
    if not like.differs:
        yield Words(f"{name}: the same as {other}. You have it already.")
        return
    told = listed([_difference(a, b) for a, b in like.differs])
    own = [b for _, b in like.differs]
    around = measures[measures.index(own[0]) :] if own[0] in measures else own
    shown = around[: measures.index(own[-1]) - measures.index(own[0]) + 1]
    yield Exercise(name=name, score=looped(score, shown), why=f"As {other}, but {told}.")


def _chords(measures: Sequence[Measure]) -> str:
    names: list[str] = []
    for measure in measures:
        for chord in measure.chords:
            if not names or names[-1] != chord.text:
                names.append(chord.text)
    return f"{listed(names, 'then')}." if names else ""


def _difference(like: Measure, own: Measure) -> str:
    """What is other in a measure than in the one that it is like, in words."""
    if ends_on_plucks(own) and not ends_on_plucks(like):
        return f"{own.called} ends on the plucks"
    if ends_on_plucks(like) and not ends_on_plucks(own):
        return f"{own.called} goes on instead of ending on plucks"
    mine, theirs = sounds(own), sounds(like)
    gone, new = sorted(theirs - mine), sorted(mine - theirs)
    if len(gone) == len(new) <= _FEW and [g[0] for g in gone] == [n[0] for n in new] and new:
        told = [
            f"{place(n[1], n[2])} in place of {place(g[1], g[2])}"
            for g, n in zip(gone, new, strict=True)
        ]
        return f"{own.called} has {listed(told)}"
    if not new and not gone:
        return f"{own.called} is played otherwise, with the same notes"
    if _lasts(own) > _lasts(like):
        return f"{own.called} ends on a longer note"
    return f"{own.called} is new"


def _lasts(measure: Measure) -> Fraction:
    last = [e.duration for e in measure.events if e.notes]
    return last[-1] if last else Fraction(0)


def _hardest(score: Score) -> Iterator[Words | Exercise]:
    found = hardest(score, rolls_of(score))
    if not found:
        return
    many = len(found) > 1
    places = f"{in_words(len(found))} hardest places" if many else "hardest place"
    yield Words(
        f"The {places} of this tune, as far as frets and fingers tell. Loop "
        f"{'them' if many else 'it'} "
        "slowly, and only then play the phrase.",
        inferred=True,
    )
    for one in found:
        measures = score.measures[one.begin : one.end]
        yield Exercise(
            name=capital(numbered([m.number for m in measures])),
            score=looped(score, measures),
            why=capital("; ".join(one.reasons)) + ".",
        )
