"""The key at the foot: what each sign on this sheet means, and only of signs that stand on it.

``SIGNS`` is the table; those of techniques come from their rows. A sample is a word, or a little
drawing; lengths are in units.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from lxml import etree
from msgspec import Struct

from rollstave.deciding.shape_row import leaving_strings, shape_row
from rollstave.notating.notation import notate
from rollstave.score.letters import finger_letters
from rollstave.score.records import Event, Note, Score
from rollstave.vocabulary.hands import FINGERS
from rollstave.vocabulary.signs import LINKS, techniques_of
from rollstave.vocabulary.technique import Technique
from rollstave.vocabulary.techniques import TECHNIQUES
from rollstave.writing.fonts import text_width
from rollstave.writing.options import SheetOptions
from rollstave.writing.sheet.drawing import text
from rollstave.writing.sheet.icons import ICON, ICONS, Icon

_SAMPLE_GAP = 90.0  # between a sample and its words
_ITEM_GAP = 380.0  # between two items


class Sign(Struct, frozen=True):
    """A sign: the feature of the score that it stands for, its sample and what it means."""

    feature: str
    sample: str | Icon
    words: str


def _of(row: Technique) -> Sign:
    """A technique's sign: its sample, or its letter."""
    sample = row.sample or (row.drawing if row.drawing in ICONS else "") or row.letter
    return Sign(row.name, ICONS.get(sample, sample), row.key)


_TECHNIQUES = sorted(
    [
        *((row.rank, _of(row)) for row in TECHNIQUES if row.key),
        (110, Sign("held", "(2)", "held, not struck again")),
    ],
    key=lambda ranked: ranked[0],
)
SIGNS: tuple[Sign, ...] = (
    *(Sign(row.letter, row.letter, row.words) for row in FINGERS if row.fixed_hand),
    *(Sign(row.guitar, row.guitar, row.words) for row in FINGERS),
    *(sign for _, sign in _TECHNIQUES),
    Sign("half", ICONS["half"], "short stem in the tab: half note"),
    Sign("whole", ICONS["whole"], "no stem in the tab: whole note"),
    Sign("left hand", "1 2 3 4", "fingers of the left hand"),
    Sign("left thumb", "T", "thumb of the left hand, under a shape"),
    Sign("open", ICONS["open"], "open string"),
    Sign("silent", ICONS["silent"], "string not played"),
    Sign("leaving", ICONS["leaving"], "finger that comes off for melody notes"),
    Sign("unstruck", "", "a string without a sign is no part of the shape"),
    Sign("unsure", "?", "rhythm not sure"),
)
_OF_EVENTS = tuple(row for row in TECHNIQUES if row.event)


def features(score: Score, options: SheetOptions) -> set[str]:
    """The features of a score that have a sign on its sheet."""
    found: set[str] = set()
    if options.view.has_tab:
        letters = finger_letters(score)
        for measure in score.measures:
            for event in measure.events:
                found |= _of_event(event)
                found |= {letters[note.finger] for note in event.notes if note.finger}
        symbols = [s for n in notate(score) for s in n.symbols if s.heads]
        if any(head.held for symbol in symbols for head in symbol.heads):
            found.add("held")
        found |= {symbol.value for symbol in symbols} & {"half", "whole"}
    if options.mark_unsure and any(not m.rhythm.sure for m in score.measures):
        found.add("unsure")
    if options.chord_row or options.shapes_over_music:
        shapes = shape_row(score)
        frets = [f for held in shapes for f in held.frets if f is not None]
        found |= {"left hand"} if any(frets) else set()
        short = score.setup.instrument.short_string
        thumb = short is not None and any(held.frets[short.string - 1] for held in shapes)
        found |= {"left thumb"} if thumb else set()
        found |= {"open"} if 0 in frets else set()
        silent = any(None in held.frets and not held.partial for held in shapes)
        found |= {"silent"} if silent else set()
        unstruck = any(None in held.frets and held.partial for held in shapes)
        found |= {"unstruck"} if unstruck else set()
        found |= {"leaving"} if any(leaving_strings(score).values()) else set()
    return found


def _of_event(event: Event) -> set[str]:
    found = {row.name for row in _OF_EVENTS if getattr(event, row.event) and event.notes}
    for note in event.notes:
        found |= _of_note(note)
    for group in event.grace:
        found |= {LINKS[n.leads].name for n in group if n.leads is not None}
    return found


def _of_note(note: Note) -> set[str]:
    found: set[str] = set()
    if note.link is not None:
        found.add(LINKS[note.link].name)
    if note.left_finger is not None:
        found.add("left hand")
    return found | {row.key_of or row.name for row in techniques_of(note)}


def _sample_width(sign: Sign, size: float) -> float:
    """The width of a sample and the gap after it; nothing for a sign that is the lack of one."""
    if sign.sample == "":
        return 0.0
    return _SAMPLE_GAP + (text_width(sign.sample, size) if isinstance(sign.sample, str) else ICON)


def key_lines(
    score: Score, options: SheetOptions, width: float, size: float, words: Sequence[str] = ()
) -> list[list[Sign]]:
    """The signs of a sheet, in lines that are no wider than ``width``, without those that the
    typist's own ``words`` explain."""
    used = features(score, options)
    lines: list[list[Sign]] = []
    x = 0.0
    for sign in SIGNS:
        if sign.feature not in used or _is_explained(sign, words):
            continue
        needed = _sample_width(sign, size) + text_width(sign.words, size)
        if not lines or x + needed > width:
            lines.append([])
            x = 0.0
        lines[-1].append(sign)
        x += needed + _ITEM_GAP
    return lines


def _is_explained(sign: Sign, words: Sequence[str]) -> bool:
    """Whether a line of the typist says ``x = dead stroke`` of a sign as it is drawn."""
    if not words or not isinstance(sign.sample, str) or not sign.sample:
        return False
    drawn = sign.sample.replace("\u2039", "<").replace("\u203a", ">")
    before = rf"(?:^|[\s.;,]){re.escape(drawn)}\s*=\s*\S"
    return any(drawn in line and re.search(before, line) for line in words)


def draw_key_line(
    parent: etree._Element, signs: Sequence[Sign], left: float, y: float, size: float
) -> None:
    """Draw one line of the key on the base line ``y``."""
    x = left
    for sign in signs:
        if not isinstance(sign.sample, str):
            sign.sample(parent, x, y)
        elif sign.sample:
            text(parent, sign.sample, x, y, size, "start", class_="key-sign")
        x += _sample_width(sign, size)
        text(parent, sign.words, x, y, size, "start", class_="key-words")
        x += text_width(sign.words, size) + _ITEM_GAP
