"""Every kind of chord that a name may have: how it is typed, its tones, its place in MusicXML.

Tones are those of music21's table of chord types, which the tests compare with. Spellings are
common practice, no source: what stands in chord rows and song books.
"""

from __future__ import annotations

import re
from functools import lru_cache

from msgspec import Struct

Degree = tuple[int, int, str]


class ChordKind(Struct, frozen=True, kw_only=True):
    """A row: what stands after the root of a chord name.

    ``suffix`` is the plain way to type it, ``also`` others, after :func:`plain_suffix`. ``kind`` is
    its kind-value in MusicXML 4.0, and ``degrees`` what is added to that or altered in it: degree,
    semitones, and ``add`` or ``alter`` (an added one counts from the dominant's, so a seventh of 0
    is a minor seventh). ``tones`` are semitones over the root; ``needed`` are those without which
    it is another chord, where there are more tones than a hand has strings.
    """

    suffix: str
    kind: str
    tones: tuple[int, ...]
    also: tuple[str, ...] = ()
    degrees: tuple[Degree, ...] = ()
    needed: tuple[int, ...] = ()


_SEVENTH: Degree = (7, 0, "add")
_NINTH: Degree = (9, 0, "add")


def _kind(
    suffix: str,
    kind: str,
    tones: str,
    *degrees: Degree,
    also: tuple[str, ...] = (),
    needed: str = "",
) -> ChordKind:
    return ChordKind(
        suffix=suffix,
        kind=kind,
        tones=tuple(map(int, tones.split())),
        also=also,
        degrees=degrees,
        needed=tuple(map(int, needed.split())),
    )


CHORD_KINDS: tuple[ChordKind, ...] = (
    _kind("", "major", "0 4 7", also=("maj",)),
    _kind("m", "minor", "0 3 7"),
    _kind("7", "dominant", "0 4 7 10"),
    _kind("maj7", "major-seventh", "0 4 7 11"),
    _kind("m7", "minor-seventh", "0 3 7 10"),
    _kind("mmaj7", "major-minor", "0 3 7 11", also=("m#7",)),
    _kind("6", "major-sixth", "0 4 7 9", also=("maj6",)),
    _kind("m6", "minor-sixth", "0 3 7 9"),
    _kind("6/9", "major-sixth", "0 4 7 9 2", _NINTH, also=("69", "6add9"), needed="4 9 2"),
    _kind("m6/9", "minor-sixth", "0 3 7 9 2", _NINTH, also=("m69", "m6add9"), needed="3 9 2"),
    _kind("9", "dominant-ninth", "0 4 7 10 2", needed="4 10 2"),
    _kind("maj9", "major-ninth", "0 4 7 11 2", needed="4 11 2"),
    _kind("m9", "minor-ninth", "0 3 7 10 2", needed="3 10 2"),
    _kind("add9", "major", "0 4 7 2", _NINTH, also=("add2", "2")),
    _kind("madd9", "minor", "0 3 7 2", _NINTH, also=("madd2",)),
    _kind("11", "dominant-11th", "0 4 7 10 2 5", needed="10 2 5"),
    _kind("maj11", "major-11th", "0 4 7 11 2 5", needed="11 2 5"),
    _kind("m11", "minor-11th", "0 3 7 10 2 5", needed="3 10 5"),
    _kind("13", "dominant-13th", "0 4 7 10 2 5 9", needed="4 10 9"),
    _kind("maj13", "major-13th", "0 4 7 11 2 5 9", needed="4 11 9"),
    _kind("m13", "minor-13th", "0 3 7 10 2 5 9", needed="3 10 9"),
    _kind("dim", "diminished", "0 3 6"),
    _kind("dim7", "diminished-seventh", "0 3 6 9"),
    _kind("m7b5", "half-diminished", "0 3 6 10"),
    _kind("aug", "augmented", "0 4 8", also=("#5",)),
    _kind("aug7", "augmented-seventh", "0 4 8 10", also=("7aug", "7#5")),
    _kind("sus4", "suspended-fourth", "0 5 7", also=("sus",)),
    _kind("sus2", "suspended-second", "0 2 7"),
    _kind("7sus4", "suspended-fourth", "0 5 7 10", _SEVENTH, also=("7sus", "sus7")),
    _kind("7sus2", "suspended-second", "0 2 7 10", _SEVENTH),
    _kind(
        "9sus4",
        "suspended-fourth",
        "0 5 7 10 2",
        _SEVENTH,
        _NINTH,
        also=("9sus", "sus9"),
        needed="5 10 2",
    ),
    _kind("7b5", "dominant", "0 4 6 10", (5, -1, "alter"), needed="4 6 10"),
    _kind("7b9", "dominant", "0 4 7 10 1", (9, -1, "add"), needed="4 10 1"),
    _kind("7#9", "dominant", "0 4 7 10 3", (9, 1, "add"), needed="4 10 3"),
    _kind("7#11", "dominant", "0 4 7 10 6", (11, 1, "add"), needed="4 10 6"),
    _kind("maj7#11", "major-seventh", "0 4 7 11 6", (11, 1, "add"), needed="4 11 6"),
    _kind("5", "power", "0 7"),
)

_BY_SUFFIX = {name: row for row in CHORD_KINDS for name in (row.suffix, *row.also)}
_BY_KIND = {(row.kind, frozenset(row.degrees)): row for row in reversed(CHORD_KINDS)}

# From what is typed to the plain spelling, in this order.
_PLAIN: tuple[tuple[str, str], ...] = (
    (r"[()\s,^]", ""),
    ("♭", "b"),
    ("♯", "#"),
    (r"ø7?|o/7?", "m7b5"),
    (r"dom(?=\d)", ""),
    (r"^(?:minor|min|mi|-)", "m"),
    (r"Δ7?|^7(?:[Mm]aj|M)$", "maj7"),
    (r"(?:[Mm]ajor|Maj|MAJ|Ma|ma|M|(?<![a-z])j)(?=\d)", "maj"),
    (r"^(?:M|Ma|Maj|MAJ|[Mm]ajor)$", "maj"),
    (r"°|º|^o(?=\d|$)", "dim"),
    (r"(?<=\d)-(?=\d)", "b"),
    (r"(?<=\d)\+(?=\d)", "#"),
    (r"^\+(?=\d|$)|^aug(?=7)", "aug"),
    (r"^7\+$", "aug7"),
)


@lru_cache(maxsize=512)
def plain_suffix(text: str) -> str:
    """What is typed after a root, in its plain spelling: ``M7``, ``ma7`` and ``Δ`` are ``maj7``."""
    if text in _BY_SUFFIX:
        return text
    for pattern, put in _PLAIN:
        text = re.sub(pattern, put, text)
    return text


def kind_of(suffix: str) -> ChordKind | None:
    """The row of what is typed after a root; None if no row has it."""
    return _BY_SUFFIX.get(plain_suffix(suffix))


def kind_in_musicxml(kind: str, degrees: frozenset[Degree]) -> ChordKind | None:
    """The row of a kind-value and its degrees; None if no row has just these."""
    return _BY_KIND.get((kind, degrees))
