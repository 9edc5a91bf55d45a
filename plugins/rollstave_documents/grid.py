"""The rows of a system in proportional type, laid out on a common grid.

Which notes sound together, and how far apart they are, is where they stand on paper. The frets and
bar lines of all rows are gathered by where they stand (``x``, in points); each gathering gets a
column, and between them the rows are filled with dashes. Where the rows have bar lines after the
same number of characters, though, they were typed in fixed type and only printed in another: then
their characters are the columns.
"""

from __future__ import annotations

import cmath
import math
import re
from collections.abc import Mapping, Sequence
from itertools import pairwise
from statistics import median

from msgspec import Struct

from rollstave_documents.layout import _FILL, Glyph, PageLine, words_of

_BARS = set("|│┃¦∣ǀ")
# The parts of a row that stay together; links between two frets stand where they stand.
_ATOM = re.compile(
    r"\|[|:]*|:\|+"
    r"|[(<\[{]?\d+[)>\]}*~'\"]*(?:br|lr|b\d*|[hpstHPST/\\^=](?=\d))?"
    r"|[A-Za-z]+|.",
    re.DOTALL,
)
# Notes no farther apart than these sound together: a typist's eye is right to half a dash in each
# row, and two columns that were typed next to each other are a figure apart.
_SAME_DASHES, _SAME_FIGURES = 1.1, 0.66
# Pulses that are tried, from and up to so many dashes, each so much longer than the last; and how
# well the notes of a system have to keep to one (1: to the point), or to that of their neighbours,
# and how far a note that does may
# stand from it, in pulses.
_SHORTEST, _LONGEST, _STEP = 1.3, 9.0, 1.01
_KEPT, _KEPT_TO_USUAL, _NEAR = 0.7, 0.5, 0.35


class Atom(Struct):
    """A part of a row that stays together, and where it stands. ``column`` is what it gets."""

    text: str
    x: float
    end: float
    bar: bool
    column: int = 0


class _Row(Struct):
    """A row: what stands before it, its atoms, and what stands after its last bar line."""

    label: str
    start: float
    atoms: list[Atom]
    tail: str = ""


class _Stop(Struct):
    """A place on the common grid: where it is on paper, where it is meant to be, its column, and
    what stands there."""

    x: float
    column: int
    atoms: list[Atom]
    bar: bool = False
    meant: float = 0.0

    @property
    def is_note(self) -> bool:
        return any(a.text.strip("hpstHPST/\\^=")[-1:] in _FRETS for a in self.atoms if a.text)


_FRETS = set("0123456789xX)>]}*~")


def laid_out(lines: Sequence[PageLine], own: Pulse | None, usual: Pulse | None) -> list[str]:
    """The text of each line of a system, rows and what stands over and under them. ``own`` is the
    pulse that its notes keep to, ``usual`` that of the page."""
    of_rows = [line for line in lines if line.is_row]
    if typed_in_columns(of_rows):
        return [line.typed.rstrip() for line in lines]
    dash = _dash(of_rows)
    rows = [_row(line) for line in of_rows]
    stops = _stops(rows, dash)
    label = max(len(row.label) for row in rows)
    unit = _in_pulse(stops, min(row.start for row in rows), dash, own, usual)
    _columns(stops, rows, unit, label)
    made = iter([_drawn(row, label, stops[-1].column if stops else label) for row in rows])
    return [next(made) if line.is_row else _placed(line, stops, unit, label) for line in lines]


def typed_in_columns(rows: Sequence[PageLine]) -> bool:
    """True if the bar lines of all rows come after the same numbers of characters, more than one,
    and the rows end together: no coincidence where they do not stand under each other."""
    texts = [row.typed.strip() for row in rows]
    bars = [[n for n, char in enumerate(text) if char in _BARS] for text in texts]
    if len({len(text) for text in texts}) > 1 or any(found != bars[0] for found in bars):
        return False
    return len(bars[0]) > 1


def _dash(rows: Sequence[PageLine]) -> float:
    """How far it is from one dash to the next."""
    steps = [
        b.x - a.x
        for row in rows
        for a, b in pairwise(row.glyphs)
        if a.text in _FILL and b.text in _FILL and b.x - a.x < 2 * row.size
    ]
    return median(steps) if steps else 0.33 * rows[0].size


def _row(line: PageLine) -> _Row:
    """Take a row apart."""
    glyphs = line.glyphs
    first = next((n for n, g in enumerate(glyphs) if g.text in _FILL or g.text in _BARS), 0)
    last = max((n for n, g in enumerate(glyphs) if g.text in _FILL or g.text in _BARS), default=0)
    label = "".join(g.text for g in glyphs[:first]).strip()
    tail: list[Glyph] = list(glyphs[last + 1 :])
    # A fret right after the last dash is one of the row; words stand apart from it.
    while tail and tail[0].x - glyphs[last].end < 0.15 * line.size and tail[0].text not in " ":
        last += 1
        tail = list(glyphs[last + 1 :])
    rest = words_of(PageLine(glyphs=tail, y=line.y, size=line.size)) if tail else ""
    inner = glyphs[first : last + 1]
    return _Row(label=label, start=inner[0].x, atoms=_atoms(inner, line.size), tail=rest)


def _atoms(glyphs: Sequence[Glyph], size: float) -> list[Atom]:
    atoms: list[Atom] = []
    run: list[Glyph] = []
    for glyph in [*glyphs, None]:
        is_fill = glyph is None or glyph.text in _FILL
        if glyph is not None and not is_fill and run and glyph.x - run[-1].end < 0.2 * size:
            run.append(glyph)
            continue
        if run:
            atoms += _split(run)
        run = [glyph] if glyph is not None and not is_fill else []
    return atoms


def _split(run: Sequence[Glyph]) -> list[Atom]:
    """Glyphs that touch each other, by what belongs together."""
    text = "".join(g.text for g in run)
    owner = [g for g in run for _ in g.text]
    return [
        Atom(
            text=found[0],
            x=owner[found.start()].x,
            end=owner[found.end() - 1].end,
            bar=found[0][0] in _BARS or found[0][-1] in _BARS,
        )
        for found in _ATOM.finditer(text)
    ]


def _stops(rows: Sequence[_Row], dash: float) -> list[_Stop]:
    """The places of the common grid, from left to right. Where all rows have as many bar lines,
    these are the same bar lines, however well the typist's eye has put them under each other."""
    figure = median(
        [a.end - a.x for r in rows for a in r.atoms if len(a.text) == 1 and a.text.isdigit()]
        or [1.6 * dash]
    )
    same = min(_SAME_DASHES * dash, _SAME_FIGURES * figure)
    row_of = {id(atom): number for number, row in enumerate(rows) for atom in row.atoms}
    bars = [[a for a in row.atoms if a.bar] for row in rows]
    if len({len(found) for found in bars}) > 1 or not bars[0]:
        return _gathered([a for row in rows for a in row.atoms], same, row_of)
    stops: list[_Stop] = []
    means = [sum(found[n].x for found in bars) / len(rows) for n in range(len(bars[0]))]
    for number in range(len(means) + 1):
        notes: list[Atom] = []
        for row, own in zip(rows, bars, strict=True):
            before = own[number - 1] if number else None
            after = own[number] if number < len(own) else None
            for atom in row.atoms:
                if (
                    not atom.bar
                    and (before is None or atom.x > before.x)
                    and (after is None or atom.x < after.x)
                ):
                    notes.append(_shifted(atom, before, after, means, number))
        stops += _gathered(notes, same, row_of)
        if number < len(means):
            stops.append(_Stop(means[number], 0, [own[number] for own in bars], bar=True))
    return stops


def _shifted(
    atom: Atom, before: Atom | None, after: Atom | None, means: Sequence[float], number: int
) -> Atom:
    """An atom, moved as the bar lines around it are moved to stand under each other."""
    left = means[number - 1] - before.x if before else None
    right = means[number] - after.x if after else None
    if left is None or right is None or before is None or after is None:
        shift = left if left is not None else right or 0.0
    else:
        share = (atom.x - before.x) / max(after.x - before.x, 0.01)
        shift = left + share * (right - left)
    atom.x += shift
    atom.end += shift
    return atom


def _gathered(atoms: Sequence[Atom], width: float, row_of: Mapping[int, int]) -> list[_Stop]:
    """Atoms by where they stand; of one row, never two in one place."""
    stops: list[_Stop] = []
    for atom in sorted(atoms, key=lambda a: a.x):
        near = bool(stops) and atom.x - stops[-1].x <= width
        if near and row_of[id(atom)] not in {row_of[id(other)] for other in stops[-1].atoms}:
            stops[-1].atoms.append(atom)
            stops[-1].x = sum(a.x for a in stops[-1].atoms) / len(stops[-1].atoms)
        else:
            stops.append(_Stop(atom.x, 0, [atom], bar=atom.bar))
    return stops


class Pulse(Struct, frozen=True):
    """What the notes of a system keep to: its length, and the room before the first and after the
    last of a measure."""

    length: float
    lead: float
    tail: float


def pulse_of(lines: Sequence[PageLine]) -> Pulse | None:
    """The pulse that the notes of a system keep to, if one is seen."""
    of_rows = [line for line in lines if line.is_row]
    if typed_in_columns(of_rows):
        return None
    dash = _dash(of_rows)
    rows = [_row(line) for line in of_rows]
    measures = _measures(_stops(rows, dash), min(row.start for row in rows))
    pulse, kept = 0.0, _KEPT
    tried = _SHORTEST * dash
    while tried < _LONGEST * dash:
        found = _kept_to(measures, tried)
        if found > kept:
            pulse, kept = tried, found
        tried *= _STEP
    return _with_room(measures, pulse) if pulse else None


def usual_of(pulses: Sequence[Pulse | None]) -> Pulse | None:
    """What the systems of a page keep to on the whole."""
    found = [pulse for pulse in pulses if pulse is not None]
    if not found:
        return None
    return Pulse(
        length=median(p.length for p in found),
        lead=median(p.lead for p in found),
        tail=median(p.tail for p in found),
    )


def _with_room(measures: Sequence[_Measure], pulse: float) -> Pulse:
    pairs = [(m, _phase([n.x for n in m.notes], pulse)) for m in measures if len(m.notes) > 1]
    return Pulse(
        length=pulse,
        lead=_room([phase - m.left for m, phase in pairs], pulse),
        tail=_room([m.bar.x - phase for m, phase in pairs if m.bar], pulse),
    )


def _kept_to(measures: Sequence[_Measure], pulse: float) -> float:
    """How well notes keep to a pulse, each measure by itself: from 0, or too few notes, to 1."""
    enough = [m for m in measures if len(m.notes) > 2]
    count = sum(len(m.notes) for m in enough)
    if count < 6:
        return 0.0
    return sum(abs(_turned([n.x for n in m.notes], pulse)) for m in enough) / count


def _in_pulse(
    stops: Sequence[_Stop], start: float, dash: float, own: Pulse | None, usual: Pulse | None
) -> float:
    """The width of a column. Where the notes keep to the pulse, as well as an eye can put them
    with dashes, that is a whole number of columns, and they are moved on to it."""
    measures = _measures(stops, start)
    for stop in stops:
        stop.meant = stop.x
    pulse = (own or usual or Pulse(0.0, 0.0, 0.0)).length
    if usual is None or _kept_to(measures, pulse) < _KEPT_TO_USUAL:
        return dash
    unit = pulse / max(2, round(pulse / dash))
    _move(measures, pulse, unit, usual)
    return unit


class _Measure(Struct):
    """What stands between two bar lines, of which either may be missing."""

    left: float
    notes: list[_Stop]
    others: list[_Stop]
    bar: _Stop | None = None


def _measures(stops: Sequence[_Stop], start: float) -> list[_Measure]:
    found = [_Measure(start, [], [])]
    for stop in stops:
        if stop.bar:
            found[-1].bar = stop
            wide = sum(a.end - a.x for a in stop.atoms) / len(stop.atoms)
            thin = sum((a.end - a.x) / len(a.text) for a in stop.atoms) / len(stop.atoms)
            found.append(_Measure(stop.x + wide - thin, [], []))
        else:
            (found[-1].notes if stop.is_note else found[-1].others).append(stop)
    return found


def _turned(places: Sequence[float], pulse: float) -> complex:
    """The sum of places as hands of a clock that turns once in a pulse."""
    return sum((cmath.exp(2j * math.pi * place / pulse) for place in places), 0j)


def _phase(places: Sequence[float], pulse: float) -> float:
    """Where in a pulse places are on the whole, from half a pulse before it to half after."""
    return cmath.phase(_turned(places, pulse)) / (2 * math.pi) * pulse


def _room(places: Sequence[float], pulse: float) -> float:
    """How far it is from a bar line to a pulse: more than nothing, and not much over a pulse."""
    room = _phase(places, pulse) % pulse
    return room if room >= 0.2 * pulse else room + pulse


def _move(measures: Sequence[_Measure], pulse: float, unit: float, usual: Pulse) -> None:
    """Put notes that stand near the pulse of their measure on it. Before the first pulse, and after
    the last, all measures get the room that they have on the whole."""
    lead, tail = usual.lead, usual.tail
    phases = [_phase([n.x for n in m.notes], pulse) for m in measures]
    lead_columns, tail_columns = max(1, round(lead / unit)), max(1, round(tail / unit))
    left = measures[0].left
    for measure, phase in zip(measures, phases, strict=True):
        if len(measure.notes) < 2:
            phase = measure.left + lead
        first = phase + round((measure.left + lead - phase) / pulse) * pulse
        begins = left + lead_columns * unit
        beats = [round((note.x - first) / pulse) for note in measure.notes]
        for note, beat in zip(measure.notes, beats, strict=True):
            off = note.x - first - beat * pulse
            on = beats.count(beat) == 1 and abs(off) <= _NEAR * pulse
            note.meant = begins + beat * pulse + (0.0 if on else off)
        for other in measure.others:
            other.meant = begins + other.x - first
        if measure.bar is None:
            return
        pulses = max(0, round((measure.bar.x - measure.left - lead - tail) / pulse))
        whole = measure.bar.x - measure.left
        if measure.notes or whole > 1.5 * pulse:
            measure.bar.meant = begins + pulses * pulse + tail_columns * unit
        else:  # bar lines side by side
            measure.bar.meant = left + whole
        more = max(len(atom.text) for atom in measure.bar.atoms) - 1
        left = measure.bar.meant + more * unit


def _columns(stops: Sequence[_Stop], rows: Sequence[_Row], unit: float, label: int) -> None:
    """Give every stop its column, in order, with room for what stands before it in each row."""
    if not stops:
        return
    row_of = {id(atom): number for number, row in enumerate(rows) for atom in row.atoms}
    free = [label] * len(rows)  # the next free column of each row
    last_text = [""] * len(rows)
    origin, base = min(min(row.start for row in rows), stops[0].meant), label
    column = label - 1
    for stop in stops:
        wanted = base + round((stop.meant - origin) / unit)
        for atom in stop.atoms:
            row = row_of[id(atom)]
            parts = last_text[row][-1:].isdigit() and atom.text[:1].isdigit()
            wanted = max(wanted, free[row] + parts)
        stop.column = max(wanted, column + 1)
        column = stop.column
        for atom in stop.atoms:
            row = row_of[id(atom)]
            atom.column = max(stop.column, free[row])
            free[row] = atom.column + len(atom.text)
            last_text[row] = atom.text
        if stop.bar:  # what rounding has moved is not carried over the bar line
            origin, base = stop.meant, stop.column


def _drawn(row: _Row, label: int, last: int) -> str:
    """A row of dashes with its atoms in their columns."""
    out = row.label.ljust(label)
    ends_in_bar = bool(row.atoms) and row.atoms[-1].bar
    for atom in row.atoms:
        out = out.ljust(label).ljust(atom.column, "-") + atom.text
    if not ends_in_bar:
        out = out.ljust(label).ljust(last + 1, "-")
    return f"{out}  {row.tail}" if row.tail else out


def _placed(line: PageLine, stops: Sequence[_Stop], unit: float, label: int) -> str:
    """A line over or under the rows: what stands at a note on paper stands at it in the text."""
    out = ""
    for phrase in _phrases(line):
        short = sum(len(g.text) for g in phrase) <= 2
        column = _column_at(
            phrase[0].x, (phrase[0].x + phrase[-1].end) / 2, stops, unit, label, short
        )
        if out and column <= len(out):
            column = len(out) + 1
        text = words_of(PageLine(glyphs=list(phrase), y=line.y, size=line.size))
        out = out.ljust(max(0, column)) + text
    return out


def _phrases(line: PageLine) -> list[list[Glyph]]:
    """What is placed as a whole: words with no more than a blank between them, but single letters
    and counts each by itself."""
    words: list[list[Glyph]] = [[line.glyphs[0]]]
    for before, glyph in pairwise(line.glyphs):
        if (glyph.x - before.end) > 0.18 * line.size:
            words.append([])
        words[-1].append(glyph)
    if all(sum(len(g.text) for g in word) <= 2 for word in words):
        return words
    phrases = [words[0]]
    for before_word, word in pairwise(words):
        if word[0].x - before_word[-1].end < 0.5 * line.size:
            phrases[-1].extend(word)
        else:
            phrases.append(word)
    return phrases


def _column_at(
    x: float, middle: float, stops: Sequence[_Stop], unit: float, label: int, short: bool
) -> int:
    """The column of a place on paper: that of the stop there, else between those around it."""
    if not stops:
        return label + round(x / unit)
    notes = [stop for stop in stops if not stop.bar]
    if notes:
        near = min(notes, key=lambda s: _distance(s, x, middle, short))
        if _distance(near, x, middle, short) <= 1.6 * unit:
            return near.column
    before = [stop for stop in stops if stop.x <= x]
    after = [stop for stop in stops if stop.x > x]
    if not before:
        return max(0, stops[0].column - round((stops[0].x - x) / unit))
    if not after:
        return before[-1].column + round((x - before[-1].x) / unit)
    one, other = before[-1], after[0]
    share = (x - one.x) / max(other.x - one.x, 0.01)
    return one.column + round(share * (other.column - one.column))


def _distance(stop: _Stop, x: float, middle: float, short: bool) -> float:
    """How far a word stands from a stop: the middle of a letter, the start of a longer word. What
    is over a note and the next stands rather after its own than before it."""
    atom = stop.atoms[0]
    off = middle - (atom.x + atom.end) / 2 if short else x - stop.x
    return off if off >= 0 else -1.5 * off
