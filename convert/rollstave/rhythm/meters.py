"""The meter of a tune whose typist did not name it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from math import exp, log

from rollstave.grid.letters import letters_to_ticks
from rollstave.grid.typed import GridMeasure, LineKind
from rollstave.rhythm.candidates import role_of
from rollstave.rhythm.columns import exact_reading
from rollstave.rhythm.drawn import drawn_length
from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.factors import mood
from rollstave.rhythm.meter import Meter, MeterPrior
from rollstave.rhythm.model_data import RhythmData, rhythm_data
from rollstave.rhythm.spacing import Spacing, Typing, squeezed
from rollstave.rhythm.written import all_lettered

_NO_SPACING = 6.0  # log odds against a meter under which the columns make no sense, a measure
_OTHERS = 2.0  # tunes of any sort that a prior is mixed with
_FEW, _USUAL = 6, 8.0  # measures that tell little, and log odds for 4/4 then
# The measures of a tune are so alike that they tell as much of the meter as so many would that have
# nothing to do with each other. Fitted on the tunes that may be tuned on, by their log loss.
_WORTH = 2
_THREES = 0.5  # log odds for 6/8 against 3/4 of a measure whose strings come back in threes
METERS: tuple[Meter, ...] = (
    Meter(4, 4),
    Meter(2, 2),
    Meter(2, 4),
    Meter(3, 4),
    Meter(6, 8),
    Meter(9, 8),
)


def find_meter(
    measures: Sequence[GridMeasure],
    evidence: Sequence[Evidence],
    prior: MeterPrior | None = None,
) -> tuple[Meter, str, float, bool]:
    """The meter under which the tune is likeliest, the reason in words, its probability, and
    whether measures may be sure in it.

    Each meter is scored by the spacing that explains the columns under it and by how usual the
    rhythms are that this gives; without columns, by how usual so many notes in a measure are.
    """
    data = rhythm_data()
    struck = [e for e in evidence if e.count][:48]
    if not struck:
        return Meter(4, 4), "nothing is struck", 0.3, False
    if (by_letters := _by_letters(measures)) is not None:
        return by_letters, "the duration letters add up to it", 0.95, True
    if (by_counts := _by_counts(measures, prior)) is not None:
        return by_counts, "the counts under the measures go so far", 0.95, True
    in_time = squeezed(struck) <= 0
    known = _known_before(data, mood(evidence)[0], prior)
    # Meters of one length (4/4 and 2/2) are typed alike.
    typing = Typing(struck)
    typed = {length: typing.spacings(int(length * TICKS)) for length in {m.length for m in METERS}}
    scores = [
        known[str(meter)] + _score(data, meter, struck, typed[meter.length], in_time)
        for meter in METERS
    ]
    if len(struck) < _FEW and prior is None:
        # Too little to go by: what most tabs for a picking hand are in (common practice).
        scores[METERS.index(Meter(4, 4))] += _USUAL
    order = sorted(range(len(METERS)), key=lambda i: -scores[i])
    best = METERS[order[0]]
    alike = max(1.0, len(struck) / _WORTH)
    odds = {METERS[i]: exp((score - scores[order[0]]) / alike) for i, score in enumerate(scores)}
    read = _as_hands_count(best, struck, prior)
    if read != best:
        odds[read] += odds[best]
    confidence = odds[read] / (sum(odds.values()) - (odds[best] if read != best else 0.0))
    told = _told(read, odds)
    close = [str(METERS[i]) for i in order if METERS[i] != read and odds[METERS[i]] > 0.1]
    also = f"; {' or '.join(close)} would fit as well" if close else ""
    called = f"{prior.reason} and " if prior and str(read) in prior.counts else ""
    if read != best:
        return read, f"{called}{_IN_EIGHTHS}{also}", confidence, told
    return best, f"{called}the measures are likeliest in it{also}", confidence, told


_TOLD = 0.7  # of the odds that all meters of a sort have together, for measures to be sure in it


def _told(read: Meter, odds: Mapping[Meter, float]) -> bool:
    """Whether the sort of a meter is beyond doubt: 2/4, 4/4 and 2/2 have the same text, and what is
    said of a measure holds in each; 3/4 and 6/8 have not."""
    alike = sum(chance for meter, chance in odds.items() if _sort(meter) == _sort(read))
    return alike >= _TOLD * sum(odds.values())


def _sort(meter: Meter) -> tuple[bool, int]:
    beats = meter.count // 3 if meter.compound else meter.count
    return meter.compound, beats // (beats & -beats)  # its odd part


_IN_EIGHTHS = "the measures, which name no time, are usually eighth notes in it"
_SIXTEENTHS = 0.1  # of the measures have more notes than eighth notes fit into 2/4


def _as_hands_count(best: Meter, struck: Sequence[Evidence], prior: MeterPrior | None) -> Meter:
    """The meter in which a picking hand's tab is counted where the text fits several units: eighth
    notes in 4/4 in place of sixteenths in 2/4, and 4/4 in place of 2/2 (common practice, no
    source). A dance that is counted in two is in 2/2, and one that is in neither keeps its own."""
    common = Meter(4, 4)
    if prior is not None:
        if str(best) in prior.counts and not prior.counts.keys() & {"4/4", "2/2"}:
            return best
        common = max(common, Meter(2, 2), key=lambda m: prior.counts.get(str(m), 0))
    if best in (Meter(2, 2), Meter(4, 4)):
        return common
    full = sum(e.count > 4 for e in struck)
    return common if best == Meter(2, 4) and full >= _SIXTEENTHS * len(struck) else best


def _known_before(data: RhythmData, fullness: str, prior: MeterPrior | None) -> dict[str, float]:
    """Log share of each meter among tunes of that sort, or with as much of the short string."""
    usual = {str(m): data.meters.get(f"{fullness} {m}", -6.0) for m in METERS}
    if prior is None:
        return usual
    total = sum(prior.counts.values()) + _OTHERS
    return {
        name: log((prior.counts.get(name, 0) + _OTHERS * exp(share)) / total)
        for name, share in usual.items()
    }


def _score(
    data: RhythmData,
    meter: Meter,
    struck: Sequence[Evidence],
    found: Sequence[Spacing],
    typed_in_time: bool,
) -> float:
    """Log probability of the measures under a meter; the longer a tune, the surer."""
    name, length = str(meter), int(meter.length * TICKS)
    total = 0.0
    spacing = found[0] if typed_in_time and found and found[0].fit >= 0.6 else None
    counts = data.onset_counts(name)
    for evidence in struck:
        total += counts.get(evidence.count, -7.0)
        if evidence.count == 6 and length == 3 * TICKS:
            total += _THREES * _threes(evidence.strings) * (1 if meter.compound else -1)
        if spacing is None:
            total -= _NO_SPACING if typed_in_time else 0.0
            continue
        reading = exact_reading(evidence, spacing)
        if reading is None:
            total -= 6.0
            continue
        entries = data.counted(name, role_of(evidence), evidence.count)
        whole = sum(n for _, n in entries)
        n = next((n for p, n in entries if p == (reading.length, reading.onsets)), 0)
        total += log((n + 0.05) / (whole + 1.0))
    return total


def _threes(strings: Sequence[int]) -> int:
    """More than 0 if the strings of a six-note measure come back every third note, as rolls in
    6/8 do; less if every second, as in 3/4."""
    thirds = sum(a == b for a, b in zip(strings, strings[3:], strict=False)) * 4
    seconds = sum(a == b for a, b in zip(strings, strings[2:], strict=False)) * 3
    return (thirds > seconds) - (thirds < seconds)


_COUNTED = {3: Meter(3, 4), 4: Meter(4, 4), 6: Meter(6, 8), 8: Meter(4, 4), 9: Meter(9, 8)}
_AGREE, _COUNTED_LEAST = 0.7, 2  # share of the measures that are counted, and how many at least


def _by_counts(measures: Sequence[GridMeasure], prior: MeterPrior | None) -> Meter | None:
    """The meter whose beats, or eighth notes, the counts of most measures number to their end. What
    is counted to two, and a dance that is usually counted otherwise, says nothing here."""
    last: Counter[int] = Counter()
    for measure in measures:
        numbers = [int(a.text) for a in measure.attached(LineKind.COUNTS) if a.text.isdecimal()]
        if numbers[:1] == [1]:
            last[max(numbers)] += 1
    if last.total() < _COUNTED_LEAST:
        return None
    highest, times = last.most_common(1)[0]
    meter = _COUNTED.get(highest) if times >= _AGREE * last.total() else None
    if meter is None or prior is None or str(meter) in prior.counts:
        return meter
    return None


def _by_letters(measures: Sequence[GridMeasure]) -> Meter | None:
    """The meter whose length most measures have that are lettered, or drawn with stems."""
    sums: dict[int, int] = {}
    for measure in measures:
        letters = [letters_to_ticks(a.text) for a in measure.attached(LineKind.DURATIONS)]
        whole = [t for t in letters if t is not None]
        if letters and len(whole) == len(letters) and all_lettered(measure):
            sums[sum(whole)] = sums.get(sum(whole), 0) + 1
        elif (ticks := drawn_length(measure)) is not None:
            sums[ticks] = sums.get(ticks, 0) + 1
    if not sums:
        return None
    common = max(sums, key=lambda ticks: (sums[ticks], -ticks))
    by_length = {96: Meter(4, 4), 48: Meter(2, 4), 72: Meter(3, 4), 108: Meter(9, 8)}
    return by_length.get(common)
