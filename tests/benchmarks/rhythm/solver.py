"""The adapter to the library under test: the only file of the benchmark that imports it."""

from __future__ import annotations

from time import process_time

from rollstave.deciding.dances import prior_of
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.problems import ProblemList
from rollstave.reading.reader import read_grid
from rollstave.rhythm import infer_rhythm
from rollstave.rhythm.meter import parse_meter

from .model import Meter, SolvedMeasure, SolvedTune


def solve(
    text: str, meter_given: bool, title_given: bool = True, told: Meter | None = None
) -> SolvedTune:
    """Read a tab and infer its rhythm. ``meter_given``: obey the text's time heading.
    ``title_given``: where it is not obeyed, let a dance in the title speak. ``told``: the meter to
    obey in place of the heading's.

    ``seconds`` of the result is the processor's time for the inference, reading not included, so
    that other work on the machine does not count. A text that is read as several tunes, or as none,
    gives a result without measures.
    """
    tunes = read_grid(text, FIVE_STRING_BANJO, ProblemList())
    if len(tunes) != 1:
        return SolvedTune(Meter(4, 4), ())
    heading = next((h.text for h in tunes[0].headings if h.key == "time"), "")
    meter = parse_meter(str(told) if told else heading) if meter_given else None
    named = [h.text for h in tunes[0].headings if h.key == "title"]
    prior = None if meter_given or not title_given else prior_of(named)
    start = process_time()
    reading = infer_rhythm(tunes[0].measures, meter, prior)
    seconds = process_time() - start
    return SolvedTune(
        Meter(reading.meter.count, reading.meter.unit),
        tuple(SolvedMeasure(m.onsets, m.durations, m.confidence, m.sure) for m in reading.measures),
        seconds,
    )
