"""The figures as plain text."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from .run import Key
from .score import BINS, Miss, Tally

HEADER = (
    f"{'style':<22}{'tunes':<8}{'n':>5}{'measures':>9}{'right':>8}{'sure':>8}{'right if':>9}"
    f"{'equal':>8}{'common':>8}{'meter':>7}{'length':>7}{'scaled':>8}{'ms per':>8}{'with':>7}\n"
    f"{'':<44}{'':>8}{'':>8}{'sure':>9}{'divis.':>8}{'pattern':>8}"
    f"{'':>7}{'':>7}{'':>8}{'measure':>8}{'reading':>8}"
)
LEGEND = """\
right: every onset and duration of the measure. sure: share called sure; right if sure: of those.
equal divis., common pattern: the two baselines. meter: count and unit right; length: a meter of
the same length (2/2 for 4/4). scaled: measures right if the tune's unit may differ (4/4 for 2/4).
ms per measure: the inference alone, and with reading the text."""


def percent(part: float, whole: float) -> str:
    """A share with two decimals, or a dash if there is nothing to share."""
    return f"{100 * part / whole:.2f}" if whole else "-"


def table(tallies: Mapping[Key, Tally], solved: bool) -> str:
    """One row for each style and kind of tune."""
    lines = [HEADER]
    for (style, kind), t in tallies.items():
        row = f"{style:<22}{kind:<8}{t.tunes:>5}{t.measures:>9}"
        figures = [
            (percent(t.right, t.measures) if solved else "-", 8),
            (percent(t.sure, t.measures) if solved else "-", 8),
            (percent(t.sure_right, t.sure), 9),
            (percent(t.equal, t.measures), 8),
            (percent(t.commonest, t.measures), 8),
            (percent(t.meters, t.tunes)[:5] if solved else "-", 7),
            (percent(t.meter_lengths, t.tunes)[:5] if solved else "-", 7),
            (percent(t.right_scaled, t.measures) if solved else "-", 8),
            (f"{1000 * t.solve_seconds / t.timed:.2f}" if t.timed else "-", 8),
            (f"{1000 * t.seconds / t.timed:.2f}" if t.timed else "-", 7),
        ]
        lines.append(row + "".join(text.rjust(width) for text, width in figures))
    for (style, kind), t in tallies.items():
        if t.misread or t.crashed:
            lines.append(
                f"{style}, {kind}: {t.misread} tunes with another number of measures than typed, "
                f"{t.crashed} that ended in an error"
            )
    return "\n".join(lines)


def short_measures(tallies: Mapping[Key, Tally]) -> str:
    """Full measures, pickups and their complements apart, all styles together."""
    total = _total(tallies)
    parts = [
        f"{kind}: {percent(right, count)}% of {count}"
        for kind, (count, right) in sorted(total.by_kind.items())
    ]
    return f"right by kind of measure: {'; '.join(parts)}; odd, not scored: {total.odd}"


def reliability(tallies: Mapping[Key, Tally]) -> str:
    """Of the measures given a probability in a range, how many were right."""
    total = _total(tallies)
    lines = [f"{'probability':<13}{'measures':>9}{'mean said':>11}{'right':>8}"]
    for i, (count, right, said) in enumerate(total.bins):
        label = f"{i / BINS:.1f} to {(i + 1) / BINS:.1f}"
        lines.append(
            f"{label:<13}{int(count):>9}{percent(said, count):>11}{percent(right, count):>8}"
        )
    return "\n".join(lines)


def _total(tallies: Mapping[Key, Tally]) -> Tally:
    total = Tally()
    for tally in tallies.values():
        total.add(tally)
    return total


def miss_text(miss: Miss) -> str:
    """A wrong measure: where it is, the truth, and what was read."""
    line, column = miss.truth.places[0] if miss.truth.places else (0, 0)
    mark = " SURE" if miss.solved.sure else ""
    return (
        f"{miss.name}, measure {miss.index} ({line}:{column}), {miss.truth.kind}\n"
        f"  truth {_durations(miss.truth.onsets, miss.truth.durations)}\n"
        f"  read  {_durations(miss.solved.onsets, miss.solved.durations)}"
        f" ({miss.solved.confidence:.3f}{mark})"
    )


def _durations(onsets: tuple[Fraction, ...], durations: tuple[Fraction, ...]) -> str:
    lead = f"rest {onsets[0]}, " if onsets and onsets[0] else ""
    return lead + " ".join(str(d) for d in durations)
