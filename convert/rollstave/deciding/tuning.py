"""Which tuning a tab is in: the heading says it, or the labels of the rows, or the notes."""

from __future__ import annotations

from rollstave.deciding.tuning_guess import ENOUGH, guess_tuning
from rollstave.grid.typed import GridTune, Heading
from rollstave.instruments.instrument import Instrument, Tuning
from rollstave.instruments.tunings import from_letters, letters_in, parse_tuning, suggest
from rollstave.pitch import accidental
from rollstave.problems import ProblemList, Severity
from rollstave.score.finding import Finding, How
from rollstave.vocabulary import problems as kinds


def find_tuning(
    grid: GridTune, heading: Heading | None, instrument: Instrument, problems: ProblemList
) -> tuple[Tuning, Finding]:
    """The tuning of a tab, and how it was found; a heading that names none is a problem."""
    by_labels = _tuning_of_labels(grid, instrument)
    if heading is not None:
        tuning = parse_tuning(heading.text, instrument)
        if tuning is not None:
            return tuning, _declared(tuning, by_labels, heading, instrument, problems)
        _report_unknown(heading, by_labels is not None, instrument, problems)
    if by_labels is not None:
        reason = "the labels of the rows name the strings"
        meant = [t for t in instrument.tunings if _same_letters(t, by_labels)]
        if not by_labels.name and len(meant) == 1:
            by_labels, reason = meant[0], f"{reason}, which leave out sharps and flats"
        return by_labels, Finding(
            subject="tuning", value=_name(by_labels), how=How.INFERRED, reason=reason
        )
    return _by_notes(grid, heading is not None, instrument, problems)


def _declared(
    tuning: Tuning,
    by_labels: Tuning | None,
    heading: Heading,
    instrument: Instrument,
    problems: ProblemList,
) -> Finding:
    if by_labels is not None and by_labels.pitches != tuning.pitches:
        _compare_labels(tuning, by_labels, heading, problems, instrument.tunings[0])
    letters = letters_in(heading.text)
    usual = from_letters(letters, instrument) if letters else None
    steps = [p.step for p in usual.pitches] if usual else []
    turned = usual is not None and steps != [p.step for p in tuning.pitches]
    said = "named in the heading" + (", from string 1 on" if turned else "")
    return Finding(subject="tuning", value=_name(tuning), how=How.DECLARED, reason=said)


def _report_unknown(
    heading: Heading, labels_decide: bool, instrument: Instrument, problems: ProblemList
) -> None:
    close = suggest(heading.text, instrument)
    hint = f"; did you mean {close!r}?" if close else "."
    words = (
        f"the tuning {heading.text!r} is not known{hint} Write its name (rollstave tunings "
        f"lists them) or its {instrument.strings} letters, as {instrument.default.written}"
    )
    if labels_decide:
        decided = f"{words}; the row labels decide"
        problems.add(kinds.TUNING, decided, heading.place, Severity.WARNING)
    else:
        problems.add(kinds.TUNING, words, heading.place)


def _by_notes(
    grid: GridTune, named: bool, instrument: Instrument, problems: ProblemList
) -> tuple[Tuning, Finding]:
    """The tuning that the notes speak for, or the usual one; ``named`` is True if a heading names
    one that is not known, which is said already."""
    guess = guess_tuning(grid, instrument)
    default = instrument.default
    # Where the usual tuning is assumed all the same, the likelier one was close as well.
    fits = guess.close
    if guess.confidence < ENOUGH and guess.confidence and guess.tuning is not default:
        fits = (guess.tuning, *(t for t in fits if t is not default))
    others = ", ".join(f"{t.name} ({t.written})" for t in fits)
    close = f"; close to it: {others}" if others else ""
    if guess.confidence >= ENOUGH and not named:
        if guess.tuning is not default:
            problems.add(
                kinds.TUNING_INFERRED,
                f"no tuning is named; {_name(guess.tuning)} is read ({guess.confidence:.0%}): "
                f"{guess.reason}{close}. If that is wrong, add a line such as: "
                f"Tuning: {default.written}",
            )
        reason = f"{guess.reason}, {guess.confidence:.0%} sure{close}"
        return guess.tuning, Finding(
            subject="tuning", value=_name(guess.tuning), how=How.INFERRED, reason=reason
        )
    if not named:
        problems.add(
            kinds.TUNING_ASSUMED,
            f"no tuning is named and no labels decide it; {default.name} ({default.written}) is "
            f"assumed{close}. If that is wrong, add a line such as: "
            f"Tuning: {instrument.tunings[1 % len(instrument.tunings)].written}",
        )
    reason = f"the usual tuning{close}"
    return default, Finding(subject="tuning", value=_name(default), how=How.ASSUMED, reason=reason)


def _tuning_of_labels(grid: GridTune, instrument: Instrument) -> Tuning | None:
    if len(grid.labels) != instrument.strings:
        return None
    letters = [
        (label[0].upper(), accidental(label[1:].strip("'0123456789") or None))
        for label in reversed(grid.labels)
    ]
    return from_letters(letters, instrument)


def _compare_labels(
    tuning: Tuning, labels: Tuning, heading: Heading, problems: ProblemList, usual: Tuning
) -> None:
    """Say where heading and labels differ. Who types the labels of the usual tuning before every
    tune types them by habit."""
    # Labels may name the strings as they are without the capo that the tuning's name implies, and
    # leave out sharps and flats.
    letters = [(p.step, p.alter) for p in labels.pitches]
    same = letters == [(p.step, p.alter) for p in tuning.pitches]
    if same or tuning.base == labels.written or _same_letters(tuning, labels):
        return
    problems.add(
        kinds.LABELS,
        f"the heading says {tuning.written} but the labels of the rows say {labels.written}; "
        "the heading counts; mend the one that is wrong",
        heading.place,
        Severity.NOTICE if labels.written == usual.written else Severity.WARNING,
    )


def _same_letters(tuning: Tuning, labels: Tuning) -> bool:
    """True if labels without any sharp or flat name the strings of a tuning that has some."""
    return all(p.alter == 0 for p in labels.pitches) and [p.step for p in tuning.pitches] == [
        p.step for p in labels.pitches
    ]


def _name(tuning: Tuning) -> str:
    return f"{tuning.name} ({tuning.written})" if tuning.name else tuning.written
