"""What changes in the course of a part, and what a score does not hold: it is said, never dropped
in silence.

What changes holds for whole measures.
"""

from __future__ import annotations

from fractions import Fraction
from math import lcm

from lxml import etree
from msgspec import Struct, field
from msgspec.structs import replace

from rollstave.deciding.tempo import FASTEST, SLOWEST
from rollstave.musicxml_in.leaving import LeftOut
from rollstave.musicxml_in.numbers import WrongValue, whole
from rollstave.pitch import MODES, Key, Pitch, spell
from rollstave.problems import ProblemKind, ProblemList
from rollstave.rhythm.meter import Meter
from rollstave.vocabulary import problems as kinds

ALTERS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}
_MOST_BEATS, _SHORTEST = 32, 32  # of a meter, as in a heading
_BEHIND = "is named behind notes; it holds from the next measure on"
_ODD_METER = "another unit or more beats than are written"
_AS_LONG = "each measure is as long as its notes"
_MOST_FIFTHS, _WRITTEN_FIFTHS = 50, 7  # of a signature: that is read, that is written
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
    left: LeftOut = field(default_factory=LeftOut)

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
        if element.find("key/key-step") is not None:
            self._say(
                kinds.KEY,
                f"measure {measure}: a signature of signs of its own is not written; they stand at "
                "their notes",
            )
        found, said = _meter(element)
        meter = found or self.here
        if said:
            self._say(kinds.METER, f"measure {measure}: {said}")
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
        self.left.attributes(element)
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


def _meter(attributes: etree._Element) -> tuple[Meter | None, str]:
    """The meter, if there is one that a score has, and what there is to say about it. Beats that
    are added (``3+2``, or several pairs of beats and beat-type) are one sum."""
    time = attributes.find("time")
    if time is None:
        return None, ""
    if time.find("senza-misura") is not None:
        return None, f"music without a meter; {_AS_LONG}"
    counts = [(element.text or "").split("+") for element in time.findall("beats")]
    units = [_unit(element) for element in time.findall("beat-type")]
    if not counts or len(counts) != len(units):
        return None, f"this kind of time signature is not understood; {_AS_LONG}"
    if not all(part.strip().isdecimal() for parts in counts for part in parts):
        return None, f"this kind of time signature is not understood; {_AS_LONG}"
    sums = [sum(int(part.strip()[:9]) for part in parts) for parts in counts]
    unit = lcm(*units)
    count = sum(n * unit // own for n, own in zip(sums, units, strict=True))
    named = " + ".join(f"{n}/{own}" for n, own in zip(sums, units, strict=True))
    if 0 in sums:
        raise WrongValue(
            time.findall("beats")[sums.index(0)], f"a whole number from 1 to {_MOST_BEATS}"
        )
    if count > _MOST_BEATS or unit > _SHORTEST or unit.bit_count() > 1:
        return None, f"a meter of {named} has {_ODD_METER}; {_AS_LONG}"
    symbol = time.get("symbol", "")
    meter = Meter(count, unit, symbol if symbol in ("cut", "common") else "")
    if len(units) > 1:
        return meter, f"a meter of {named} is written as {meter}"
    return meter, ""


def _unit(element: etree._Element) -> int:
    """The note that is counted in a meter. Raises WrongValue for what is none."""
    text = (element.text or "").strip()[:9]
    if not (text.isdecimal() and int(text)):
        raise WrongValue(element, "a whole number, such as 4")
    return int(text)
