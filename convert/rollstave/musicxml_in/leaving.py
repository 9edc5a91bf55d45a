"""What a file says and no score holds: it is left out, and named with its measures.

What is kept is listed here; everything else of those groups of elements (MusicXML 4.0) is told.
"""

from __future__ import annotations

from lxml import etree
from msgspec import Struct, field

from rollstave.musicxml_in.naming import measures_named
from rollstave.problems import ProblemList
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.techniques import TECHNIQUES

# Under a sign of an octave, pitches are as they are without it (MusicXML 4.0, octave-shift).
_KEPT_DIRECTIONS = {"rehearsal", "metronome", "segno", "coda", "words", "octave-shift"}
_KEPT_ARTICULATIONS = {"scoop", "plop", "doit", "falloff"}
# Notations that a note holds, that its links and ties are, or that its duration says.
_KEPT_NOTATIONS = {"tied", "slur", "tuplet", "slide", "glissando", "arpeggiate"}
_KEPT_TECHNICAL = {"string", "fret", "fingering", "pluck", "other-technical"} | {
    element.path.rpartition("/")[2]
    for row in TECHNIQUES
    for element in row.elements
    if element.path.startswith("technical/")
}
_KEPT_HEADS = {"normal", "x", "none"} | {
    element.text for row in TECHNIQUES for element in row.elements if element.path == "notehead"
}
_STYLES = ("slash", "beat-repeat")  # of a measure
_KEPT_SUNG = ("humming", "laughing")  # instead of a syllable
_MOST_NAMED = 3


class LeftOut(Struct):
    """What is left out, by its name, with the measures in which it stands. ``measure`` is the one
    that is read now; ``own`` is True in a file whose shapes were found by this package."""

    measure: str = ""
    own: bool = False
    _found: dict[str, list[str]] = field(default_factory=dict)
    _words: list[str] = field(default_factory=list)

    def add(self, name: str) -> None:
        """Note one thing that stands in the measure."""
        self._found.setdefault(name, []).append(self.measure)

    def attributes(self, element: etree._Element) -> None:
        """Note what attributes say and no score holds."""
        for style in _STYLES:
            if element.find(f"measure-style/{style}") is not None:
                self.add(style)
        if element.find("time/interchangeable") is not None:
            self.add("the second of two meters")
        if element.find("transpose/double") is not None:
            self.add("the doubled octave of transpose")

    def direction(self, element: etree._Element, understood: bool) -> None:
        """Note what a direction says and no score holds."""
        for kind in element.iterfind("direction-type/*"):
            words = (kind.text or "").strip()
            if kind.tag == "words" and not understood and words:
                self.add("words")
                self._words.append(words)
            elif kind.tag == "metronome" and kind.find("per-minute") is None:
                self.add("a metronome mark of two notes")
            elif kind.tag not in _KEPT_DIRECTIONS:
                self.add(str(kind.tag))

    def harmony(self, element: etree._Element) -> None:
        """Note what a chord name does not say."""
        for inversion in element.findall("inversion"):
            if (inversion.text or "").strip() != "0" and element.find("bass") is None:
                self.add("inversion")
        if len(element.findall("root")) > 1:
            self.add("the lower chord of two")
        # Shapes are found again from what the tune holds: those that were found so are no loss.
        if not self.own and element.find("frame") is not None:
            self.add("frame (the shapes of a sheet are those that the tune holds)")

    def barline(self, element: etree._Element) -> None:
        """Note what stands over a bar line."""
        for tag in ("fermata", "wavy-line"):
            if element.find(tag) is not None:
                self.add(f"{tag} of a bar line")

    def note(self, element: etree._Element) -> None:
        """Note the notations of a note, its head and what is sung to it, as far as no score holds
        them."""
        for notation in element.iterfind("notations/*"):
            tag = str(notation.tag)
            if tag == "articulations":
                self._add_all(notation, _KEPT_ARTICULATIONS)
            elif tag == "ornaments":
                self._add_all(notation, {"wavy-line"})
            elif tag == "technical":
                self._add_all(notation, _KEPT_TECHNICAL)
                for part in ("pre-bend", "release"):
                    if notation.find(f"bend/{part}") is not None:
                        self.add(part)
            elif tag not in _KEPT_NOTATIONS:
                self.add(tag)
        head = (element.findtext("notehead") or "normal").strip()
        if head not in _KEPT_HEADS:
            self.add(f"notehead {head!r}")
        for lyric in element.iterfind("lyric"):
            for tag in _KEPT_SUNG:
                if lyric.find(tag) is not None:
                    self.add(tag)

    def _add_all(self, group: etree._Element, kept: set[str]) -> None:
        for child in group.iterchildren("*"):
            if child.tag not in kept:
                self.add(str(child.tag))

    def report(self, problems: ProblemList) -> None:
        """Say once what was left out."""
        if not self._found:
            return
        told = (f"{name} ({self._where(name)})" for name in sorted(self._found))
        problems.add(kinds.LEFT_OUT, f"a score does not hold these, left out: {', '.join(told)}")

    def _where(self, name: str) -> str:
        """How often it stands there, if more than once, and in which measures."""
        places = self._found[name]
        count = f"{len(places)}, " if len(places) > 1 else ""
        named = ", ".join(repr(words) for words in dict.fromkeys(self._words[:_MOST_NAMED]))
        return f"{count}{measures_named(places)}{': ' + named if name == 'words' else ''}"
