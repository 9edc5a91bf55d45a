"""Chord names as MusicXML has them: ``harmony`` with its kind, its degrees and its frame."""

from __future__ import annotations

from lxml import etree

from rollstave.deciding.chords import chord_kind, chord_suffix
from rollstave.score.records import ChordName
from rollstave.writing.xml import add


def add_chord(element: etree._Element, chord: ChordName, strings: int, later: int = 0) -> None:
    """Append the ``harmony`` of a chord name, with its shape where one is held. ``later`` is how
    long after the place where it stands it begins, in divisions."""
    # A name that the notes gave is set in italics, as an inferred finger is.
    harmony = add(
        element,
        "harmony",
        print_frame="yes" if chord.frets else None,
        font_style="italic" if chord.inferred else None,
    )
    root = add(harmony, "root")
    if chord.root is None:
        add(root, "root-step", "C", text_="")
        add(harmony, "kind", "none", text_=chord.text)
    else:
        add(root, "root-step", chord.root[0])
        if chord.root[1]:
            add(root, "root-alter", chord.root[1])
        add(harmony, "kind", chord.kind, text_=chord_suffix(chord.text))
    if chord.bass:
        bass = add(harmony, "bass")
        add(bass, "bass-step", chord.bass[0])
        if chord.bass[1]:
            add(bass, "bass-alter", chord.bass[1])
    row = chord_kind(chord.text) if chord.root else None
    for value, alter, what in row.degrees if row else ():
        degree = add(harmony, "degree", print_object="no")  # the kind's text says it already
        add(degree, "degree-value", value)
        add(degree, "degree-alter", alter)
        add(degree, "degree-type", what)
    if chord.frets:
        _frame(harmony, chord.frets, strings)
    if later:
        add(harmony, "offset", later)
    add(harmony, "staff", 1)


def _frame(harmony: etree._Element, frets: tuple[int | None, ...], strings: int) -> None:
    held = [f for f in frets if f]
    first = min(held) if held and max(held) > 5 else 1
    frame = add(harmony, "frame")
    add(frame, "frame-strings", strings)
    add(frame, "frame-frets", max(4, max(held, default=1) - first + 1))
    if first > 1:
        add(frame, "first-fret", first)
    for string in range(strings, 0, -1):
        fret = frets[string - 1]
        if fret is not None:
            note = add(frame, "frame-note")
            add(note, "string", string)
            add(note, "fret", fret)
