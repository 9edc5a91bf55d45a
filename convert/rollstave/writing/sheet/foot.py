"""Under the last system: the typist's own words, the rolls of the tune, the key of its signs.

Lengths are in units.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import groupby

from lxml import etree
from msgspec import Struct

from rollstave.deciding.rolls import first_uses
from rollstave.deciding.shape_row import shape_row, without_shapes
from rollstave.deciding.shapes import CAUTION, NamedShape
from rollstave.grid.typed import LegendSign
from rollstave.patterns import rare
from rollstave.score.records import Score
from rollstave.vocabulary.signs import BY_NAME, ROUND, says
from rollstave.writing.fonts import Style, text_width
from rollstave.writing.options import SheetOptions
from rollstave.writing.sheet.drawing import shape, text, with_signs, wrapped
from rollstave.writing.sheet.key import Sign, draw_key_line, key_lines

WORDS_SIZE, WORDS_LINE = 285.0, 385.0
_SIZE, _LINE = WORDS_SIZE, WORDS_LINE
_LONGEST_HEADING, _SHORT_WORD = 70, 3  # characters
_MOST_TOLD = 12  # numbers of measures, runs as one, that somebody looks up
_ABOVE = 260.0  # between the last system and the first line
_BETWEEN = 120.0  # between two blocks
_ROLL_GAP, _FINGERS_GAP = 520.0, 130.0


class Foot(Struct, frozen=True):
    """Lines of the key, the legend of rolls and the words, cut to the width of the page.

    A line of the legend is names of rolls with their fingers.
    """

    key: tuple[tuple[Sign, ...], ...] = ()
    legend: tuple[tuple[tuple[str, str], ...], ...] = ()
    words: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()

    @property
    def height(self) -> float:
        """The room under the last system."""
        parts = [len(p) for p in (self.words, self.legend, self.key, self.remarks) if p]
        if not parts:
            return 0.0
        return _ABOVE + sum(parts) * _LINE + (len(parts) - 1) * _BETWEEN

    def draw(self, parent: etree._Element, left: float, top: float) -> None:
        """Draw it under ``top``: the words first, they are the teacher's."""
        y = top + _ABOVE
        y = _draw_words(parent, "notes", self.words, left, y, Style.REGULAR)
        if self.legend:
            group = shape(parent, "g", class_="legend")
            for row in self.legend:
                y += _LINE
                x = left
                for name, fingers in row:
                    text(group, name, x, y, _SIZE, "start", Style.ITALIC)
                    x += text_width(name, _SIZE, Style.ITALIC) + _FINGERS_GAP
                    text(group, fingers, x, y, _SIZE, "start")
                    x += text_width(fingers, _SIZE) + _ROLL_GAP
            y += _BETWEEN
        if self.key:
            group = shape(parent, "g", class_="key")
            for signs in self.key:
                y += _LINE
                draw_key_line(group, signs, left, y, _SIZE)
            y += _BETWEEN
        _draw_words(parent, "remarks", self.remarks, left, y, Style.ITALIC)


def _draw_words(
    parent: etree._Element, name: str, lines: Sequence[str], left: float, y: float, style: Style
) -> float:
    """Draw lines of words under ``y``; where the next block begins."""
    if not lines:
        return y
    group = shape(parent, "g", class_=name)
    for line in lines:
        y += _LINE
        if line:
            text(group, line, left, y, _SIZE, "start", style)
    return y + _BETWEEN


def make_foot(
    score: Score, options: SheetOptions, width: float, said: Collection[int] = ()
) -> Foot:
    """What stands under the last system, in lines ``width`` units wide. ``said`` are the measures
    whose words stand over the music."""
    words = tuple(line for note in paragraphs(score, said) for line in wrapped(note, width, _SIZE))
    remarks = tuple(
        line for remark in _remarks(score, options) for line in wrapped(remark, width, _SIZE)
    )
    signs = key_lines(score, options, width, _SIZE, score.notes) if options.key else []
    key = tuple(tuple(line) for line in signs)
    return Foot(key=key, legend=_legend(score, options, width), words=words, remarks=remarks)


def _legend(
    score: Score, options: SheetOptions, width: float
) -> tuple[tuple[tuple[str, str], ...], ...]:
    """The rolls of a tune side by side, in as many lines as they need."""
    if not options.rolls:
        return ()
    lines: list[list[tuple[str, str]]] = []
    x = 0.0
    for use in first_uses(score.measures):
        fingers = " ".join(use.fingers)
        needed = text_width(use.name, _SIZE, Style.ITALIC) + text_width(fingers, _SIZE)
        needed += _FINGERS_GAP
        if not lines or x + needed > width:
            lines.append([])
            x = 0.0
        lines[-1].append((use.name, fingers))
        x += needed + _ROLL_GAP
    return tuple(tuple(line) for line in lines)


def said_before(score: Score) -> list[tuple[int, str]]:
    """The typist's lines, joined where a sentence runs on, each with the index of the measure
    before which it stood."""
    places = score.note_measures or (0,) * len(score.notes)
    found: list[tuple[int, str]] = []
    for line, place in zip(score.notes, places, strict=True):
        line = _without_sentence(line, score.signs)
        if not line or _says_otherwise(line, score.signs):
            continue
        # A line that goes on in the middle of a sentence begins with a small letter or a digit.
        goes_on = not line[:1].isupper() and bool(found) and found[-1][1][-1:] not in ".!?"
        if goes_on and place == found[-1][0]:
            line = f"{found.pop()[1]} {line}"
        found.append((place, line))
    return found


def first_heading(score: Score) -> str | None:
    """The line before the first measure that heads it: no sentence, and of the same kind as one
    that stands before a later strain (``The first walk``, ``The second walk``)."""
    lines = [(place, line) for place, line in said_before(score) if _heads(line)]
    if not lines or lines[0][0] or score.measures[0].section is not None:
        return None
    before = [line for place, line in lines if place == 0][-1]
    words = _long_words(before)
    return before if any(place and words & _long_words(line) for place, line in lines) else None


def later_headings(score: Score) -> frozenset[str]:
    """The lines before later strains that are of the same kind as :func:`first_heading`."""
    first = first_heading(score)
    if first is None:
        return frozenset()
    words = _long_words(first)
    return frozenset(
        line
        for place, line in said_before(score)
        if place and _heads(line) and words & _long_words(line)
    )


def _heads(line: str) -> bool:
    return len(line) < _LONGEST_HEADING and line[-1:] not in ".!?:;,"


def _long_words(line: str) -> set[str]:
    return {word.strip(",;").casefold() for word in line.split() if len(word) > _SHORT_WORD}


def paragraphs(score: Score, said: Collection[int] = ()) -> list[str]:
    """The typist's words, each headed by the section or the measure before which it stood, without
    those before the measures ``said``."""
    found: list[str] = []
    before: int | None = None
    for place, line in said_before(score):
        measures = score.measures
        if place in said and (place or line == first_heading(score)):
            continue
        if place != before and 0 < place < len(measures):
            measure = measures[place]
            line = f"{measure.section or f'Measure {measure.number}'}: {line}"
        found.append(line)
        before = place
    return found


_BRACKETS = re.compile(r"\(\s?[\dn#]{1,2}\s?\)\s*(?:=|:|is\b|means\b|-)[^=]*")


# "Notes in parentheses are hardly played at all."
_SENTENCE = rare(
    r"(?:(?<=[.!?]\s)|^)(?:the\s+)?(?:notes?|numbers?|frets?|figures?)\s+in\s+(?:round\s+)?"
    r"(?:brackets|paren\w*)\s+(?P<words>(?:is|are|means?)\b[^.;]{2,60})(?:[.;]\s*|$)",
    re.IGNORECASE,
    cues=("brackets", "paren"),
)


def _without_sentence(line: str, signs: Sequence[LegendSign]) -> str:
    """A line without the sentence in it that says of notes in brackets what the key says of other
    brackets."""
    match = _SENTENCE.search(line)
    if match is None:
        return line
    ghost = re.search(BY_NAME["ghost"].legend, match["words"], re.IGNORECASE)
    own = any(sign.sign == ROUND for sign in signs)
    if not ghost and not own:
        return line
    return (line[: match.start()] + line[match.end() :]).strip()


def _says_otherwise(line: str, signs: Sequence[LegendSign]) -> bool:
    """Whether a line is the legend of another sign than the sheet has: where round brackets mean
    that a note rings on or is held or is a grace note, the sheet draws that; a ghost has other
    brackets. The key says what brackets are on it."""
    if not _BRACKETS.fullmatch(line.strip()):
        return False
    ghost = re.search(BY_NAME["ghost"].legend, line, re.IGNORECASE)
    return bool(ghost) or any(sign.sign == ROUND and says(line, sign) for sign in signs)


def _remarks(score: Score, options: SheetOptions) -> list[str]:
    """What a player must know of what we added: suggested letters, names, shapes and fingers."""
    suggested = []
    notes = [n for m in score.measures for e in m.events for n in e.notes]
    if options.view.has_tab and any(n.finger and n.inferred_finger for n in notes):
        suggested.append("letters")
    if any(c.inferred for m in score.measures for c in m.chords):
        suggested.append("chord names")
    shown = options.chord_row or options.shapes_over_music
    shapes = shape_row(score) if shown else ()
    found = []
    if suggested:
        which = _listed(suggested)
        found.append(f"{which[0].upper()}{which[1:]} in italics are suggestions.")
    found += _suggested_shapes(shapes, bool(found))
    if not options.key:
        found = []
    elif shown and (names := without_shapes(score)):
        found += _no_shape(score, names)
    found += _names_under_capo(score)
    return [" ".join(found)] if found else []


def _suggested_shapes(shapes: Sequence[NamedShape], others: bool) -> list[str]:
    """Which shapes are suggested, by name, and that fingers are, after what is said of ``others``
    that are suggestions."""
    names = list(dict.fromkeys(with_signs(held.label) for held in shapes if held.suggested))
    parts = []
    if names:
        parts.append(f"the shape{'s' * (len(names) > 1)} of {_listed(names)} (in italics)")
    fingers = any(any(held.frets) for held in shapes)
    if fingers:
        parts.append("the fingers of the chord shapes")
    if not parts:
        return []
    which, are = _listed(parts), "are" if fingers or len(names) > 1 else "is"
    a = "suggestions" if are == "are" else "a suggestion"
    said = f"So {are} {which}." if others else f"{which[0].upper()}{which[1:]} {are} {a}."
    return [said, CAUTION] if fingers else [said]


def _no_shape(score: Score, names: Mapping[str, Sequence[int]]) -> list[str]:
    """That chords are named and have no shape, or none under some of their letters, and why. Only
    measures are told in which the name is printed: a player looks for it there."""
    nowhere = [with_signs(name) for name, places in names.items() if not places]
    parts = [_listed(nowhere)] if nowhere else []
    for name, places in names.items():
        letters = dict.fromkeys(_lettered(score, name, place) for place in places)
        here = [n for n in letters if n in places]
        later = [n for n in letters if n not in places]  # one goes with what follows the letter
        parts += _under(score, name, here) + [f"{x} later on" for x in _under(score, name, later)]
    under = ", and under ".join(parts)
    return [f"No shape goes with all that is played under {under}."] if parts else []


def _under(score: Score, name: str, letters: Sequence[int | None]) -> list[str]:
    """The letters of a chord at some measures in words; of very many how many there are, and where
    the first is."""
    told = [number for n in letters if n is not None and (number := score.measures[n].number)]
    runs = _runs(told)
    if len(runs) > _MOST_TOLD:
        return [f"{with_signs(name)} in {len(told)} measures, first in m. {told[0]}"]
    return [f"the {with_signs(name)} of m. {_listed(runs)}"] if told else []


def _lettered(score: Score, name: str, place: int) -> int | None:
    """The index of the measure in which the letter of a chord is printed that rules ``place``."""
    return next(
        (n for n in range(place, -1, -1) if any(c.text == name for c in score.measures[n].chords)),
        None,
    )


def _runs(numbers: Iterable[int]) -> list[str]:
    """Numbers in order as words, three or more that follow each other as ``4–7``."""
    found: list[str] = []
    for _, run in groupby(enumerate(numbers), key=lambda at: at[1] - at[0]):
        told = [str(number) for _, number in run]
        found += [f"{told[0]}–{told[-1]}"] if len(told) > 2 else told
    return found


def _listed(words: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))


def _names_under_capo(score: Score) -> list[str]:
    """What chord names mean under a capo."""
    setup = score.setup
    shift = setup.instrument.semitones(setup.capo)
    names = [chord for m in score.measures for chord in m.chords if chord.root]
    if not shift or not names or any(map(_tells_of_names, score.notes)):
        return []
    if any(chord.beside for chord in names):
        return ["Chords have the name of the shape, and in parentheses of what sounds."]
    if not score.chords_by_shape:
        return ["Chords are named as they sound."]
    higher = f"{shift} semitone{'s' if shift > 1 else ''}"
    return [f"Chords are named by their shapes; they sound {higher} higher."]


def _tells_of_names(line: str) -> bool:
    """Whether a line of the typist says how chords are named: by what sounds or by shape."""
    line = line.casefold()
    names = any(words in line for words in ("chord names", "chords are", "chords named"))
    return names and any(words in line for words in ("sound", "shape"))
