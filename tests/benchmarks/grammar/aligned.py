"""What stands over and under the rows: numbers, endings, chords, counts, letters, words."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from tests.benchmarks.grammar.hand import System, column, over
from tests.benchmarks.grammar.model import Line, Measure, Meter, Tune, Unreadable
from tests.benchmarks.grammar.signs import Counts


@dataclass(frozen=True)
class Above:
    """A system's index, the number of its first measure, whether it has what stands once."""

    index: int
    number: int
    odd: bool


def lines_over(
    tune: Tune, measures: list[Measure], system: System, data: dict[str, Any], at: Above
) -> list[Line]:
    """The lines before a system's rows."""
    lines = []
    if data["bar numbers"]:
        text = data["bar numbers"].format(at.number)
        lines.append(Line(over([(system.starts[0], text)]), "remark"))
    if any(m.ending for m in measures):
        signs = dict(zip("12", data["endings"].signs, strict=True))
        places = [
            (start, signs[m.ending])
            for m, start in zip(measures, system.starts, strict=True)
            if m.ending
        ]
        text = places[0][1] if data["endings"].own else over(places)
        if not data["endings"].behind:
            lines.append(Line(text, "ending"))
        if data["endings"].apart:
            lines.append(Line("", "blank"))
    signed = [(s, m.sign) for m, s in zip(measures, system.starts, strict=True) if m.sign]
    if signed:
        lines.append(Line(over(signed), "jump"))
    if any(m.triplets for m in measures):
        places = [
            (columns[slot] + (2 if data["triplets"] == "3" else 0), data["triplets"])
            for m, columns in zip(measures, system.columns, strict=True)
            for slot in m.triplets
        ]
        lines.append(Line(over(places), "triplets"))
    chords = data["chords"]
    if chords and chords.place in ("over", "changes"):
        lines += _chords(measures, system, data)
    for name, label in (("counts", "counts"), ("letters", "letters")):
        if data[name] and data[name].over:
            lines += _row_of(name, label, (tune, measures, system, data[name], at))
    return lines


def lines_under(
    tune: Tune, measures: list[Measure], system: System, data: dict[str, Any], at: Above
) -> list[Line]:
    """The lines after a system's rows."""
    lines = []
    for name, label in (("counts", "counts"), ("letters", "letters")):
        if data[name] and not data[name].over:
            lines += _row_of(name, label, (tune, measures, system, data[name], at))
    if data["chords"] and data["chords"].place == "under":
        lines += _chords(measures, system, data)
    if data["words to sing"]:
        lines.append(_sung(tune, measures, system, data["words to sing"]))
    remark = data["remark under a measure"]
    if remark and at.odd:
        which = len(measures) // 2
        lines.append(Line(over([(system.columns[which][0], remark)]), "remark"))
        tune.remarks.append(remark)
    return lines


def _chords(measures: list[Measure], system: System, data: dict[str, Any]) -> list[Line]:
    chords, places, before = data["chords"], [], ""
    for measure, columns in zip(measures, system.columns, strict=True):
        for slot, name in measure.chords:
            if chords.same and name == before and measure is not measures[0]:
                places.append((columns[slot], chords.same))
            elif chords.place != "changes" or name != before or measure is measures[0]:
                places.append((columns[slot], chords.form.format(name)))
                measure.typed_chords = True
            before = name
    line = over(places)
    for place, text in places:
        if not line[place:].startswith(text):
            raise Unreadable("chords stand in each other's way")
    return [Line(line, "chord row")]


def _row_of(
    name: str, label: str, of: tuple[Tune, list[Measure], System, Counts, Above]
) -> list[Line]:
    tune, measures, system, manner, at = of
    if manner.once and at.index:
        return []
    places = []
    for measure, columns in zip(measures, system.columns, strict=True):
        if name == "letters":
            found = [(e.slot, e.letter) for e in measure.events if e.letter and not measure.same]
            measure.typed_letters = tuple(x for _, x in found)
        else:
            first = measure is tune.measures[0]
            found = counted(tune.meter, measure.slots, manner.off, first)
        places += [
            (column(columns, slot, 3) + manner.shift, text.lower() if manner.small else text)
            for slot, text in found
        ]
    line = over(places, gap=0)
    if any(not line[place:].startswith(text) for place, text in places):
        raise Unreadable("no room")
    if manner.label:
        if line[: len(manner.label) + 1].strip():
            line = manner.label + " " + line.lstrip()
        else:
            line = manner.label + line[len(manner.label) :]
    return [Line(line, label)]


def counted(meter: Meter, slots: int, off: str, first: bool) -> list[tuple[Fraction, str]]:
    """The counts of a measure: (slot, text). A short first measure counts its last slots."""
    found = []
    skipped = meter.slots - slots if first else 0
    for slot in map(Fraction, range(slots)):
        at = slot + skipped
        if meter.written == "6/8":
            found.append((slot, str(int(at) + 1)))
        elif at % meter.beat == 0:
            found.append((slot, str(int(at // meter.beat) + 1)))
        elif off == "e&a":
            if meter.written == "2/4":
                found.append((slot, off[int(at % meter.beat) - 1] if meter.beat == 4 else "&"))
            elif at % meter.beat == meter.beat // 2:
                found.append((slot, "&"))
        elif off and at % meter.beat == meter.beat // 2:
            found.append((slot, off))
    return found


def _sung(tune: Tune, measures: list[Measure], system: System, words: list[str]) -> Line:
    start = tune.told.setdefault("_sung", 0)
    tune.told["_sung"] = start + len(measures)
    places = [
        (columns[0], words[(start + i) % len(words)]) for i, columns in enumerate(system.columns)
    ]
    tune.remarks += [text for _, text in places]
    return Line(over(places), "words to sing")
