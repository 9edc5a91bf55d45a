"""What is said about the capo and the short string: how the instrument is set up."""

from __future__ import annotations

import re
from collections.abc import Mapping

from rollstave.grid.typed import Heading
from rollstave.instruments.instrument import Instrument, Tuning
from rollstave.instruments.setup import Setup
from rollstave.instruments.tunings import letters_in, parse_tuning
from rollstave.pitch import Pitch, accidental, parse_key, spell
from rollstave.problems import ProblemList
from rollstave.score.finding import Finding, How
from rollstave.vocabulary import problems as kinds

# Frets in words, as typists write them: "second", "two", "II".
_WORDS = {
    word: number
    for number, words in enumerate(
        (
            "first one i",
            "second two ii",
            "third three iii",
            "fourth four iv",
            "fifth five v",
            "sixth six vi",
            "seventh seven vii",
        ),
        start=1,
    )
    for word in words.split()
}
_A_NUMBER = rf"(?:\d+|{'|'.join(sorted(_WORDS, key=len, reverse=True))})"


def _number(text: str) -> int | None:
    """The number in a text, in figures or in words."""
    words = re.findall(r"[a-z]+", text.lower())
    begins = next(iter(words), "") if not re.match(r"\W*\d", text) else ""
    if begins not in _WORDS and (match := re.search(r"\d+", text)):
        return int(match[0])
    return next((_WORDS[word] for word in words if word in _WORDS), None)


def set_up(
    tuning: Tuning,
    said: Mapping[str, Heading],
    instrument: Instrument,
    problems: ProblemList,
    findings: list[Finding],
) -> Setup:
    capo = 0
    if heading := said.get("capo"):
        none = re.match(r"\s*(no|none|off|-|0)\b", heading.text.lower())
        number = 0 if none else _number(heading.text)
        if number is None or number >= instrument.frets - 4:
            problems.add(kinds.CAPO, f"{heading.text!r} is no fret for a capo", heading.place)
            number = 0
        capo = number
        if capo and tuning.base and tuning.capo == capo and not _on_top(tuning, said, capo):
            base = parse_tuning(tuning.base, instrument) or tuning
            problems.add(
                kinds.CAPO_IN_TUNING,
                f"{tuning.name} is {base.name} with a capo at {capo}, so the capo is counted once",
                heading.place,
            )
            tuning = base
        findings.append(Finding("capo", str(capo) if capo else "none", How.DECLARED))
    setup = Setup(
        instrument=instrument,
        tuning=tuning,
        capo=capo,
        short_raise=capo if instrument.short_string else 0,
    )
    if instrument.short_string is None:
        return setup
    if heading := said.get("fifth string"):
        return _short_string(setup, heading, problems, findings)
    if capo:
        findings.append(
            Finding(
                subject="fifth string",
                value=f"raised {capo} semitones to {_raised(setup).letter}",
                how=How.ASSUMED,
                reason="raised by as much as the capo, as players nearly always do",
            )
        )
    return setup


def _on_top(tuning: Tuning, said: Mapping[str, Heading], capo: int) -> bool:
    """True if the key that is named sounds only where the capo raises a tuning whose name has a
    capo in it already: open A at fret 2 in B."""
    key = parse_key(said["key"].text) if "key" in said else None
    name = re.search(r"\b(?-i:[A-G])\b", tuning.name)
    own = parse_key(name[0]) if name else None
    if key is None or own is None:
        return False
    tonics = [Pitch(k.tonic[0], accidental(k.tonic[1:]), 4).midi for k in (own, key)]
    return (tonics[1] - tonics[0]) % 12 == capo


def _raised(setup: Setup) -> Pitch:
    short = setup.instrument.short_string
    assert short is not None
    return spell(setup.open_midi(short.string), 2 if setup.capo else 0)


def _short_string(
    setup: Setup, heading: Heading, problems: ProblemList, findings: list[Finding]
) -> Setup:
    words = heading.text.strip()
    result = short_string_said(setup, words)
    if result is None:
        problems.add(
            kinds.FIFTH_STRING,
            f"{words!r} does not say how the fifth string is set; write for instance "
            '"Fifth string: raised to A", "Fifth string: capo 7" or "Fifth string: not raised"',
            heading.place,
        )
        return setup
    raised = result.short_raise
    value = f"raised {raised} semitones to {_raised(result).letter}" if raised else "not raised"
    if result.short_numbering == "peg":
        value += ", its frets counted from its own peg"
    findings.append(Finding("fifth string", value, How.DECLARED))
    return result


# By how many semitones a short string can be raised, and tuned down.
LOWEST_RAISE, HIGHEST_RAISE = -5, 12


def short_string_said(setup: Setup, words: str) -> Setup | None:
    """The setup with its short string as the words of a heading have it: a pitch, a fret for its
    capo, a number of semitones; None if they do not say how it is set."""
    low = words.lower()
    own = re.search(r"\b(count|number|own|from its|from the peg)", low) is not None
    raised = _raise_said(setup, words)
    if raised is None and own:
        raised = setup.short_raise
    if raised is None or not LOWEST_RAISE <= raised <= HIGHEST_RAISE:
        return None
    tuned = not own and re.search(r"\b(tuned|peg(?!.*count))\b", low) is not None
    return Setup(
        instrument=setup.instrument,
        tuning=setup.tuning,
        capo=setup.capo,
        short_raise=raised,
        short_raised_by="peg" if tuned or raised < 0 else "capo",
        short_numbering="peg" if own else setup.short_numbering,
    )


def _raise_said(setup: Setup, words: str) -> int | None:
    """By how many semitones words have the short string raised; None if they do not say."""
    short = setup.instrument.short_string
    assert short is not None
    low = words.lower()
    if match := re.search(
        r"(?:\b(?:capo(?:ed)?|spiked?|fret)\s+(?:on|at|fret)?|^(?:on|at)(?:\s+fret)?)\s*(\d+)", low
    ):
        return int(match[1]) - short.peg_fret
    if re.search(r"\b(not raised|no capo|not capoed|unraised|open|as it is|none)\b", low):
        return 0
    if match := re.search(rf"(?:raised?|up|by)\s+(?:by\s+)?({_A_NUMBER})\b", low):
        return _number(match[1])
    if match := re.search(r"(?:^|\b(?i:to|at)\s+)([A-Ga-g])(#|b|♯|♭)?(?![a-z])", words):
        open_pitch = setup.tuning.pitches[short.string - 1]
        letters = letters_in(match[1] + (match[2] or "")) or []
        wanted = Pitch(letters[0][0], letters[0][1], open_pitch.octave)
        raised = (wanted.midi - open_pitch.midi) % 12
        return raised - 12 if raised > 7 else raised
    return None
