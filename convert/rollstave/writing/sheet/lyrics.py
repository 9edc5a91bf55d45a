"""Syllables: centred under their notes, pushed apart where they would touch."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from lxml import etree
from msgspec import Struct

from rollstave.notating.notation import NotatedMeasure, Symbol
from rollstave.notating.syllables import syllable_of
from rollstave.writing.fonts import CAP_HEIGHT, text_width
from rollstave.writing.sheet.context import MarkContext, tab_id
from rollstave.writing.sheet.drawing import number, shape, text, text_box
from rollstave.writing.sheet.engraving import LYRIC_SIZE, SVG

_GAP = 75.0  # between two words, in units
_HYPHEN_WIDTH = 78.0  # of the hyphens, which are drawn as bars; as Verovio draws them
_HYPHEN_THICK = 19.0
_HYPHEN_RISE = 91.0  # from the base line to the top of the bar
_BESIDE_HYPHEN = 36.0  # between a hyphen and the syllables beside it, at least
_HYPHEN_EVERY = 1_200.0  # where syllables are far apart, several hyphens lead over
_UNDER_LETTERS = 150.0  # between the picking letters and the words of a tab without a staff
_LINE = 1.25 * LYRIC_SIZE  # from verse to verse
_NUMBER_GAP = 110.0  # between the number of a verse and its first word
_BAR_GAP = 115.0  # between a bar line and a word
_TOGETHER = 600.0  # verses that begin no further apart begin on one note
_BAR_AIR = 150.0  # between a bar line that makes room for a word and the note before it
_BAR = re.compile(r"M(\S+) (\S+) L(\S+) (\S+)")
_RECT = f"{{{SVG}}}rect"


class _Word(Struct):
    """A syllable: the middle of its note, its text without the hyphen after it, and whether its
    word goes on."""

    middle: float
    text: str
    goes_on: bool

    @property
    def width(self) -> float:
        return text_width(self.text, LYRIC_SIZE)

    @property
    def gap(self) -> float:
        """The room after it, up to the next word."""
        return _HYPHEN_WIDTH + 2 * _BESIDE_HYPHEN if self.goes_on else _GAP


def settle_lyrics(context: MarkContext, layer: etree._Element) -> None:
    """Move the syllables that Verovio set, and draw the hyphens between them, which Verovio set
    for where the syllables were before."""
    rows: dict[str, list[tuple[float, etree._Element]]] = {}
    for element, middle in context.system.lyrics:
        rows.setdefault(element.get("y", ""), []).append((middle, element))
    verses = _verses(context)
    begin: list[tuple[int, float, float]] = []
    _make_room(context, [element_at for row in rows.values() for element_at in row])
    for place, (_, row) in enumerate(sorted(rows.items(), key=lambda item: float(item[0]))):
        row.sort(key=lambda item: item[0])
        drawn = [_drop_hyphens(element) for _, element in row]
        verse = verses[place] if len(verses) == len(rows) else place + 1
        typed = [lyric for _, _, lyric in _sung(context, verse)]
        # Verovio draws no hyphen where it sees no room for one.
        goes_on = [syllable_of(t)[1] for t in typed] if len(typed) == len(row) else drawn
        words = [_Word(at, e.text or "", on) for (at, e), on in zip(row, goes_on, strict=True)]
        lefts = _lefts(context, words)
        for (_, element), left in zip(row, lefts, strict=True):
            element.set("x", number(left))
            if "text-anchor" in element.attrib:
                del element.attrib["text-anchor"]
            element.set("class", "lyric")
            y = float(element.get("y", "0"))
            context.system.take(text_box(element.text or "", left, y, LYRIC_SIZE, "start"))
        base = float(row[0][1].get("y", "0"))
        _hyphens(context, layer, words, lefts, base)
        begin.append((verse, lefts[0], base))
    _numbers(context, layer, begin)


def _make_room(context: MarkContext, sung: Sequence[tuple[float, etree._Element]]) -> None:
    """Move plain bar lines aside for words that would reach over them from under their notes, as
    far as the notes and the words before allow."""
    system = context.system
    for before, after in pairwise(system.measures):
        bar, end = system.spans[before][1], system.spans[after][1]
        start = system.spans[before][0]
        words = [(at, text_width(e.text or "", LYRIC_SIZE) / 2) for at, e in sung]
        left = min((at - half for at, half in words if bar <= at < end), default=bar + _BAR_GAP)
        right = max((at + half for at, half in words if start <= at < bar), default=start)
        notes = max(
            (b.right for b in system.drawn.boxes if start < b.left and b.right < bar), default=start
        )
        # Where there is too little room for both, in the middle between the words.
        x = max(left - _BAR_GAP, min(right + _BAR_GAP, (left + right) / 2), notes + _BAR_AIR)
        if x < bar - 1 and _move_bar(context, before, x):
            system.spans[before] = start, x
            system.spans[after] = x, end


def _move_bar(context: MarkContext, index: int, x: float) -> bool:
    """Put the bar line after a measure at ``x``; False for one that is more than a line."""
    (measure,) = (
        g
        for g in context.system.element.iterfind(f"{{{SVG}}}g[@class='measure']")
        if (g.get("id") or "").rpartition("m")[2] == str(index)
    )
    bars = measure.findall(f"{{{SVG}}}g[@class='barLine']")
    lines = [(path, _BAR.match(path.get("d", ""))) for bar in bars for path in bar]
    if not lines or len({at and at[1] for _, at in lines}) != 1:
        return False
    for path, at in lines:
        if at is None:
            return False
        path.set("d", f"M{number(x)} {at[2]} L{number(x)} {at[4]}")
    return True


def _verses(context: MarkContext) -> list[int]:
    """The verses that have a syllable in a system."""
    events = (event for notated in context.notated for event in notated.measure.events)
    return sorted({verse for event in events for verse, _ in event.sung})


def _numbers(
    context: MarkContext, layer: etree._Element, begin: Sequence[tuple[int, float, float]]
) -> None:
    """The numbers of verses before their first syllables in the tune, if there are several, and at
    the beginning of each further system of several verses that has room for them (common practice,
    no source): one under the other where they begin together (Gould, Behind Bars, 2011, from
    memory). ``begin`` has the verses of a system with the left end and the base line of each."""
    measures = context.score.measures
    here = context.notated[0].measure.index
    if not any(e.verses for m in measures for e in m.events):
        return
    known = {sung for m in measures if m.index < here for e in m.events for sung, _ in e.sung}
    new = [at for at in begin if at[0] not in known]
    if len(begin) > 1 and not new:
        new = list(begin)
    drawn = context.system.drawn
    for verse, left, base in new:
        edge = min(other for _, other, _ in new if abs(other - left) < _TOGETHER) - _NUMBER_GAP
        ground = text_box(f"{verse}.", edge, base, LYRIC_SIZE, "end")
        if verse not in known or (ground.left > context.system.first.left and drawn.free(ground)):
            box = text(layer, f"{verse}.", edge, base, LYRIC_SIZE, "end", class_="verse")
            context.system.take(box)


def _sung(context: MarkContext, verse: int) -> Iterator[tuple[NotatedMeasure, Symbol, str]]:
    """The symbols of a system that have a syllable of a verse, in order."""
    for notated in context.notated:
        for symbol in notated.symbols:
            for here, lyric in notated.sung(symbol):
                if here == verse:
                    yield notated, symbol, lyric


def _drop_hyphens(syllable: etree._Element) -> bool:
    """Take away Verovio's hyphens after a syllable. True if there were any."""
    group = syllable.getparent()
    if group is None:
        return False
    bars = group.findall(_RECT)
    for bar in bars:
        group.remove(bar)
    return bool(bars)


def draw_lyrics_under_tab(context: MarkContext, layer: etree._Element) -> None:
    """The syllables of a sheet without a staff, a line for each verse under the picking letters."""
    system = context.system
    if system.staff is not None:
        return
    base = system.bottom + _UNDER_LETTERS + CAP_HEIGHT * LYRIC_SIZE
    begin: list[tuple[int, float, float]] = []
    for verse in _verses(context):
        words: list[_Word] = []
        for notated, symbol, lyric in _sung(context, verse):
            name = tab_id(notated, symbol, symbol.heads[0].note)
            if name in system.places:
                words.append(_Word(system.places[name][0], *syllable_of(lyric)))
        if not words:
            continue
        lefts = _lefts(context, words)
        for word, left in zip(words, lefts, strict=True):
            system.take(text(layer, word.text, left, base, LYRIC_SIZE, "start", class_="lyric"))
        _hyphens(context, layer, words, lefts, base)
        begin.append((verse, lefts[0], base))
        base += _LINE
    _numbers(context, layer, begin)


def _hyphens(
    context: MarkContext,
    layer: etree._Element,
    words: Sequence[_Word],
    lefts: Sequence[float],
    base: float,
) -> None:
    """Hyphens in the middle between the syllables of a word; after the last one of a line, close
    to it (common practice, no source)."""
    for i, (word, left) in enumerate(zip(words, lefts, strict=True)):
        if not word.goes_on:
            continue
        start = left + word.width
        end = lefts[i + 1] if i + 1 < len(words) else start + word.gap
        count = max(1, int((end - start) / _HYPHEN_EVERY))
        for k in range(1, count + 1):
            x = start + (end - start) * k / (count + 1) - _HYPHEN_WIDTH / 2
            x = _beside_bar(context, x, start, end)
            shape(
                layer,
                "rect",
                class_="hyphen",
                x=x,
                y=base - _HYPHEN_RISE,
                width=_HYPHEN_WIDTH,
                height=_HYPHEN_THICK,
                fill="currentColor",
            )


def _beside_bar(context: MarkContext, x: float, start: float, end: float) -> float:
    """The left edge of a hyphen that is on no bar line, between ``start`` and ``end``."""
    bars = [right for _, right in context.system.spans.values()]
    near = [b for b in bars if x - _BESIDE_HYPHEN < b < x + _HYPHEN_WIDTH + _BESIDE_HYPHEN]
    for bar in near[:1]:
        places = (bar - _BESIDE_HYPHEN - _HYPHEN_WIDTH, bar + _BESIDE_HYPHEN)
        fitting = [p for p in places if start < p < end - _HYPHEN_WIDTH]
        return min(fitting, key=lambda p: abs(p - x), default=x)
    return x


def _lefts(context: MarkContext, words: Sequence[_Word]) -> list[float]:
    """The left edges of syllables.

    Each is centred under its note, but stays in its measure where there is room, and then they
    are pushed to the right from the left, and back to the left from the end of the line.
    """
    lefts = [_in_measure(context, word) for word in words]
    for i in range(1, len(words)):
        before = words[i - 1]
        lefts[i] = max(lefts[i], lefts[i - 1] + before.width + before.gap)
    edge = context.system.first.right
    for i in range(len(words) - 1, -1, -1):
        room = words[i].gap if words[i].goes_on or i + 1 < len(words) else 0.0
        lefts[i] = min(lefts[i], edge - room - words[i].width)
        edge = lefts[i]
    return lefts


def _in_measure(context: MarkContext, word: _Word) -> float:
    """The left edge of a syllable under its note that keeps away from the bar lines before and
    after the note, where the note stays over it."""
    left = word.middle - word.width / 2
    for start, end in context.system.spans.values():
        if start <= word.middle < end:
            left = min(left, max(end - _BAR_GAP - word.width, word.middle - word.width))
            return max(left, min(start + _BAR_GAP, word.middle))
    return left
