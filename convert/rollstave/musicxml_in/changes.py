"""What changes in the course of a part, and what a score does not hold: it is said, never dropped
in silence.

What changes holds for whole measures.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

from lxml import etree
from msgspec import Struct, field
from msgspec.structs import replace

from rollstave.deciding.tempo import FASTEST, SLOWEST
from rollstave.musicxml_in.numbers import WrongValue, whole
from rollstave.pitch import MODES, Key, Pitch, spell
from rollstave.problems import ProblemKind, ProblemList
from rollstave.rhythm.meter import Meter
from rollstave.vocabulary import problems as kinds

ALTERS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}
# Under a sign of an octave, pitches are as they are without it (MusicXML 4.0, octave-shift).
_KEPT_DIRECTIONS = {"rehearsal", "metronome", "segno", "coda", "words", "octave-shift"}
_KEPT_ARTICULATIONS = {"scoop", "plop", "doit", "falloff"}
# Notations that a note holds, that its links and ties are, or that its duration says.
_KEPT_NOTATIONS = {"tied", "slur", "tuplet", "slide", "glissando", "arpeggiate", "technical"}
_MOST_NAMED = 3
_MOST_BEATS, _SHORTEST = 32, 32  # of a meter, as in a heading
_BEHIND = "is named behind notes; it holds from the next measure on"
_MOST_FIFTHS, _WRITTEN_FIFTHS = 14, 7  # of a signature: that is read, that is written
# Where a file says nothing (MusicXML 4.0 leaves it open; our choice).
NO_KEY, NO_METER = Key("C"), Meter(4, 4)


class Signatures(Struct):
    """The signatures of a part: those at its beginning, and those where the reader is.

    ``semitones`` is what is added to written pitches to have those that sound.
    """

    problems: ProblemList
    key: Key = NO_KEY
    meter: Meter = NO_METER
    tempo_here: Fraction | None = None
    details: etree._Element | None = None
    here: Meter = NO_METER
    key_here: Key = NO_KEY
    semitones: int = 0
    _left: Counter[str] = field(default_factory=Counter)
    _words: list[str] = field(default_factory=list)

    def attributes(
        self, element: etree._Element, measure: str, first: bool, behind: bool = False
    ) -> None:
        """Take the attributes of a measure; ``first`` is True in the first one, ``behind`` where
        they stand behind notes."""
        transpose = element.find("transpose")
        if transpose is not None:
            steps = whole(transpose, "chromatic", 0, -60, 60)
            self.semitones = steps + 12 * whole(transpose, "octave-change", 0, -5, 5)
        key = _key(element, self.semitones) or self.key_here
        signs = whole(element, "key/fifths", 0, -_MOST_FIFTHS, _MOST_FIFTHS)
        if abs(signs) > _WRITTEN_FIFTHS:
            kind = "flats" if signs < 0 else "sharps"
            self._say(
                kinds.KEY,
                f"measure {measure}: a signature of {abs(signs)} {kind} is written as that of "
                f"{key}, which sounds the same",
            )
        meter = _meter(element) or self.here
        if element.find("time") is not None and _meter(element) is None:
            self._say(
                kinds.METER, f"measure {measure}: this kind of time signature is not understood"
            )
        if first and not behind:
            self.key, self.meter = key, meter
        if behind and key != self.key_here:
            self._say(kinds.KEY_CHANGE, f"measure {measure}: {key} {_BEHIND}")
        self.key_here = key
        if first or (meter.count, meter.unit) != (self.here.count, self.here.unit):
            self.here = meter
            if behind:
                self._say(kinds.METER_CHANGE, f"measure {measure}: {meter} {_BEHIND}")
        for details in element.findall("staff-details"):
            if details.find("staff-tuning") is not None:
                self.details = details
                if behind:
                    self._say(kinds.TUNING_CHANGE, f"measure {measure}: a tuning {_BEHIND}")
        if element.find("measure-style/measure-repeat") is not None:
            self._say(
                kinds.MEASURE_REPEAT,
                f"measure {measure}: signs that repeat a measure are not read; the measure is as "
                "the file has it",
            )

    def tempo_mark(
        self, unit: Fraction, number: Fraction, measure: str, behind: bool = False
    ) -> None:
        """Take a tempo: so many notes a minute, each of ``unit`` quarter notes; ``behind`` where it
        stands behind notes."""
        if not SLOWEST <= number <= FASTEST:
            self._say(
                kinds.TEMPO,
                f"measure {measure}: {float(number):g} notes a minute are no tempo that is played; "
                f"{SLOWEST} to {FASTEST} are read",
            )
            return
        tempo = unit * number
        if behind and tempo != self.tempo_here:
            self._say(
                kinds.TEMPO_CHANGE,
                f"measure {measure}: {float(tempo):g} quarter notes a minute {_BEHIND}",
            )
        self.tempo_here = tempo

    def sounding(self, pitch: Pitch) -> Pitch:
        """The pitch that sounds where this one is written."""
        octaves, steps = divmod(self.semitones, 12)
        if not steps:
            return replace(pitch, octave=pitch.octave + octaves) if octaves else pitch
        return spell(pitch.midi + self.semitones, self.key_here.fifths)

    def before_the_measure(self, measure: str) -> None:
        """Say that a step back led to a time before the measure."""
        self._say(
            kinds.OUT_OF_MEASURE,
            f"measure {measure}: a backup leads to before the measure; what follows it begins with "
            "the measure",
        )

    # What is left out ---------------------------------------------------------------------------

    def direction(self, element: etree._Element, understood: bool) -> None:
        """Count what a direction says and no score holds."""
        for kind in element.iterfind("direction-type/*"):
            if kind.tag == "words" and not understood and (kind.text or "").strip():
                self._left["words"] += 1
                self._words.append((kind.text or "").strip())
            elif kind.tag not in _KEPT_DIRECTIONS:
                self._left[str(kind.tag)] += 1

    def note(self, element: etree._Element) -> None:
        """Count the notations of a note that no score holds."""
        for notation in element.iterfind("notations/*"):
            tag = str(notation.tag)
            if tag == "articulations":
                self._left.update(str(c.tag) for c in notation if c.tag not in _KEPT_ARTICULATIONS)
            elif tag == "ornaments":
                self._left.update(str(c.tag) for c in notation if c.tag != "wavy-line")
            elif tag not in _KEPT_NOTATIONS:
                self._left[tag] += 1

    def report(self) -> None:
        """Say once what was left out."""
        if self._left:
            named = ", ".join(repr(w) for w in dict.fromkeys(self._words[:_MOST_NAMED]))
            counted = ", ".join(
                f"{tag} ({times}{': ' + named if tag == 'words' else ''})"
                for tag, times in sorted(self._left.items())
            )
            self.problems.add(kinds.LEFT_OUT, f"a score does not hold these, left out: {counted}")

    def _say(self, kind: ProblemKind, message: str) -> None:
        self.problems.add(kind, message)


def _key(attributes: etree._Element, semitones: int) -> Key | None:
    key = attributes.find("key")
    if key is None or key.find("fifths") is None:
        return None
    mode = key.findtext("mode", "major")
    mode = mode if mode in MODES else "major"
    written = _within_seven(whole(key, "fifths", 0, -_MOST_FIFTHS, _MOST_FIFTHS))
    if semitones % 12:
        written = (written + 7 * semitones + 5) % 12 - 5
    fifths = written - MODES[mode]
    step = "FCGDAEB"[(fifths + 1) % 7]
    return Key(step + ALTERS.get((fifths + 1) // 7, ""), mode)


def _within_seven(fifths: int) -> int:
    """The signature with at most seven signs that sounds as one with more does."""
    return fifths if abs(fifths) <= _WRITTEN_FIFTHS else (fifths + 5) % 12 - 5


def _meter(attributes: etree._Element) -> Meter | None:
    """The meter; additive beats (``3+2``) are added."""
    time = attributes.find("time")
    counts = time.findall("beats") if time is not None else []
    if time is None or len(counts) != 1:
        return None
    beats = [part.strip() for part in (counts[0].text or "").split("+")]
    if not all(part.isdecimal() for part in beats):
        return None
    symbol = time.get("symbol", "")
    count, unit = sum(int(part[:9]) for part in beats), whole(time, "beat-type", 4, 1, _SHORTEST)
    if not 0 < count <= _MOST_BEATS:
        raise WrongValue(counts[0], f"a whole number from 1 to {_MOST_BEATS}")
    if unit.bit_count() > 1:
        raise WrongValue(next(time.iterchildren("beat-type")), "1, 2, 4, 8, 16 or 32")
    return Meter(count, unit, symbol if symbol in ("cut", "common") else "")
