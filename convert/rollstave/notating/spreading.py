"""How far apart notes stand before a line is filled.

Verovio first sets notes by their durations, then pushes apart what would touch, then stretches it
all to the end of the line. Set too near at first, an eighth beside a wide fret is pushed, and half
as wide again as its neighbours in the end. Set about as far apart as they will stand, next to
nothing is pushed. Where that comes out wider than the line, all is drawn together, what was pushed
apart too, so it may not be much wider. Lengths are hundredths of a millimetre.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rollstave.notating.notation import Head, NotatedMeasure, Symbol

# Verovio 6.4, measured: an eighth at a factor of 1, and how the room of durations grows with them;
# the room around a bar line. That of clef and signatures, about.
_EIGHTH, _POWER = 1_830.0, 0.6
_BAR, _FRONT = 290.0, 1_650.0
_HEAD, _CHARACTER, _LETTER = 300.0, 180.0, 160.0  # room that is needed: about
_SIGN, _GRACE, _DOT = 240.0, 800.0, 120.0
LEAST, _MOST = (
    0.25,
    0.44,
)  # the factor that Verovio has by itself; one that leaves long notes theirs
_STEP = 0.01
_DRAWN_IN = 0.94  # how far lines may be drawn together


def factor_of(lines: Sequence[Sequence[NotatedMeasure]], width: float) -> float:
    """The factor of Verovio's spacing at which none of these lines is much wider than ``width``.
    Grace notes are pushed apart in any case, and nothing is drawn together on them."""
    if any(symbol.grace for line in lines for notated in line for symbol in notated.symbols):
        return LEAST
    room = (width - _FRONT) / _DRAWN_IN
    factor = _MOST
    for line in lines:
        gaps = [gap for notated in line for gap in _gaps(notated)]
        fixed = _BAR * len(line)
        factor = min(factor, max(0.0, room - fixed) / max(1.0, sum(timed for timed, _ in gaps)))
        while factor > LEAST:
            if fixed + sum(max(need, factor * timed) for timed, need in gaps) <= room:
                break
            factor -= _STEP
    return round(max(LEAST, factor), 2)


def _gaps(notated: NotatedMeasure) -> Iterator[tuple[float, float]]:
    """For each note or rest of a measure, the room that its duration gives it at a factor of 1, and
    what it needs beside the next."""
    at: dict[float, list[Symbol]] = {}
    for symbol in notated.symbols:
        at.setdefault(float(symbol.onset), []).append(symbol)
    onsets = sorted(at)
    ends = (*onsets[1:], float(notated.measure.length))
    for onset, end in zip(onsets, ends, strict=True):
        here, after = at[onset], at.get(end, [])
        need = max(_after(notated, symbol) for symbol in here)
        need += max((_before(symbol) for symbol in after), default=0.0)
        yield _EIGHTH * (2 * max(0.0, end - onset)) ** _POWER, need


def _after(notated: NotatedMeasure, symbol: Symbol) -> float:
    fret = max((_characters(head) for head in symbol.heads), default=0.0)
    sung = max((len(words) for _, words in notated.sung(symbol)), default=0)
    return max(_HEAD + _DOT * symbol.dots, fret * _CHARACTER, (sung + 0.5) * _LETTER)


def _characters(head: Head) -> float:
    """How many figures wide a fret is, with what stands around it."""
    note = head.note
    around = 1.8 * (note.harmonic + note.ghost + head.held) + (note.link is not None)
    return len(note.fret_text) + around


def _before(symbol: Symbol) -> float:
    signs = [head.cautionary + 1 for head in symbol.heads if head.accidental is not None]
    return _SIGN * min(1.5, max(signs, default=0))
