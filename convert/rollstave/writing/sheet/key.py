"""The key at the foot: what each sign on this sheet means, and only of signs that stand on it.

``SIGNS`` is the table. A sample is a word, or a little drawing; lengths are in units.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from lxml import etree
from msgspec import Struct

from rollstave.deciding.shape_row import shape_row
from rollstave.grid.typed import Link
from rollstave.notating.notation import notate
from rollstave.score.records import Event, Note, Score
from rollstave.writing.fonts import text_width
from rollstave.writing.options import SheetOptions
from rollstave.writing.sheet.drawing import number, path, shape, text
from rollstave.writing.sheet.engraving import DIGIT_SIZE, GRACE_SIZE

Drawing = Callable[[etree._Element, float, float], None]
_SAMPLE_GAP = 90.0  # between a sample and its words
_ITEM_GAP = 380.0  # between two items
_ICON = 260.0  # the width of a drawn sample


class Sign(Struct, frozen=True):
    """A sign: the feature of the score that it stands for, its sample and what it means."""

    feature: str
    sample: str | Drawing
    words: str


def _slide(parent: etree._Element, x: float, y: float) -> None:
    path(parent, f"M{number(x + 20)} {number(y - 30)}L{number(x + 230)} {number(y - 150)}", 20.0)


def _brush(parent: etree._Element, x: float, y: float) -> None:
    middle = x + _ICON / 2
    path(parent, f"M{number(middle)} {number(y + 30)}V{number(y - 150)}", 18.0)
    shape(
        parent,
        "path",
        fill="currentColor",
        d=f"M{number(middle)} {number(y - 215)}l40 80h-80Z",
    )


def _vibrato(parent: etree._Element, x: float, y: float) -> None:
    waves = "".join(" q25 -50 50 0 q25 50 50 0" for _ in range(2))
    path(parent, f"M{number(x + 30)} {number(y - 90)}{waves}", 20.0)


def _bend(parent: etree._Element, x: float, y: float) -> None:
    path(
        parent,
        f"M{number(x + 60)} {number(y - 10)}Q{number(x + 170)} {number(y - 10)} "
        f"{number(x + 170)} {number(y - 120)}",
        18.0,
    )
    shape(parent, "path", fill="currentColor", d=f"M{number(x + 170)} {number(y - 195)}l38 75h-76Z")


def _ring_on(parent: etree._Element, x: float, y: float) -> None:
    path(parent, f"M{number(x + 40)} {number(y - 60)}q90 -90 180 0", 18.0)


def _open(parent: etree._Element, x: float, y: float) -> None:
    shape(
        parent,
        "circle",
        cx=x + _ICON / 2,
        cy=y - 95,
        r=52.0,
        fill="none",
        stroke="currentColor",
        stroke_width=13.0,
    )


def _silent(parent: etree._Element, x: float, y: float) -> None:
    middle = x + _ICON / 2
    path(
        parent,
        f"M{number(middle - 48)} {number(y - 143)}l96 96m0 -96l-96 96",
        13.0,
    )


def _grace(parent: etree._Element, x: float, y: float) -> None:
    text(parent, "2", x + 40, y - 30, GRACE_SIZE, "middle", class_="key-sign")
    text(parent, "3", x + 185, y, DIGIT_SIZE, "middle", class_="key-sign")


SIGNS: tuple[Sign, ...] = (
    Sign("T", "T", "thumb"),
    Sign("I", "I", "index finger"),
    Sign("M", "M", "middle finger"),
    Sign("hammer-on", "H", "hammer-on"),
    Sign("pull-off", "P", "pull-off"),
    Sign("tap", "t", "tap"),
    Sign("slide", _slide, "slide"),
    Sign("brush", _brush, "brush"),
    Sign("bend", _bend, "bend, in whole tones"),
    Sign("vibrato", _vibrato, "vibrato"),
    Sign("muted", "x", "muted"),
    Sign("grace", _grace, "grace note, quickly before"),
    Sign("ghost", "(2)", "hardly sounded"),
    Sign("held", "(2)", "held, not struck again"),
    # One sign for two things: the arc before it tells them apart.
    Sign("ghost or held", "(2)", "hardly sounded; after an arc: held, not struck again"),
    Sign("harmonic", "‹12›", "harmonic"),
    Sign("ring", _ring_on, "let ring"),
    Sign("left hand", "1 2 3 4", "fingers of the left hand"),
    Sign("open", _open, "open string"),
    Sign("silent", _silent, "string not played"),
    Sign("unsure", "?", "rhythm not sure"),
)
_LINKS = {Link.HAMMER_ON: "hammer-on", Link.PULL_OFF: "pull-off", Link.TAP: "tap"}
_GRACE_LINKS = _LINKS | {Link.SLIDE: "slide"}


def features(score: Score, options: SheetOptions) -> set[str]:
    """The features of a score that have a sign on its sheet."""
    found: set[str] = set()
    if options.view.has_tab:
        for measure in score.measures:
            for event in measure.events:
                found |= _of_event(event)
        if any(h.tie_from for n in notate(score) for s in n.symbols for h in s.heads):
            found.add("held")
    if {"ghost", "held"} <= found:
        found = found - {"ghost", "held"} | {"ghost or held"}
    if options.mark_unsure and any(not m.rhythm.sure for m in score.measures):
        found.add("unsure")
    if options.chord_row or options.shapes_over_music:
        frets = [f for held in shape_row(score) for f in held.frets if f is not None]
        found |= {"left hand"} if any(frets) else set()
        found |= {"open"} if 0 in frets else set()
        silent = any(None in held.frets and not held.partial for held in shape_row(score))
        found |= {"silent"} if silent else set()
    return found


def _of_event(event: Event) -> set[str]:
    found = {"brush"} if event.brush and event.notes else set()
    for note in event.notes:
        found |= _of_note(note)
    for group in event.grace:
        found.add("grace")
        found |= {_GRACE_LINKS[n.leads] for n in group if n.leads in _GRACE_LINKS}
    return found


def _of_note(note: Note) -> set[str]:
    found = {note.finger.value} if note.finger else set()
    if note.link in _LINKS:
        found.add(_LINKS[note.link])
    if note.link is Link.SLIDE or note.slide_from or note.slide_to:
        found.add("slide")
    flags = {
        "muted": note.muted,
        "ghost": note.ghost,
        "harmonic": note.harmonic,
        "vibrato": note.vibrato,
        "bend": note.bend is not None,
        "ring": note.let_ring,
        "left hand": note.left_finger is not None,
    }
    return found | {name for name, is_so in flags.items() if is_so}


def _sample_width(sign: Sign, size: float) -> float:
    return text_width(sign.sample, size) if isinstance(sign.sample, str) else _ICON


def key_lines(score: Score, options: SheetOptions, width: float, size: float) -> list[list[Sign]]:
    """The signs of a sheet, in lines that are no wider than ``width``."""
    used = features(score, options)
    lines: list[list[Sign]] = []
    x = 0.0
    for sign in SIGNS:
        if sign.feature not in used:
            continue
        needed = _sample_width(sign, size) + _SAMPLE_GAP + text_width(sign.words, size)
        if not lines or x + needed > width:
            lines.append([])
            x = 0.0
        lines[-1].append(sign)
        x += needed + _ITEM_GAP
    return lines


def draw_key_line(
    parent: etree._Element, signs: Sequence[Sign], left: float, y: float, size: float
) -> None:
    """Draw one line of the key on the base line ``y``."""
    x = left
    for sign in signs:
        if isinstance(sign.sample, str):
            text(parent, sign.sample, x, y, size, "start", class_="key-sign")
        else:
            sign.sample(parent, x, y)
        x += _sample_width(sign, size) + _SAMPLE_GAP
        text(parent, sign.words, x, y, size, "start", class_="key-words")
        x += text_width(sign.words, size) + _ITEM_GAP
