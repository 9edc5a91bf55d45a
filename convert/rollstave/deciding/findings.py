"""What is known about a tune as a whole, and how it is known: headings, labels, or assumption."""

from __future__ import annotations

import re
from enum import Enum
from fractions import Fraction

from msgspec import Struct

from rollstave.deciding.dances import prior_of
from rollstave.deciding.tempo import parse_tempo
from rollstave.deciding.tuning_guess import ENOUGH, guess_tuning
from rollstave.grid.typed import GridTune, Heading
from rollstave.instruments.instrument import Instrument, Tuning
from rollstave.instruments.setup import Setup
from rollstave.instruments.tunings import from_letters, letters_in, parse_tuning, suggest
from rollstave.pitch import Key, Pitch, accidental, parse_key
from rollstave.problems import ProblemList, Severity
from rollstave.rhythm.meter import Meter, MeterPrior, parse_meter
from rollstave.vocabulary import problems as kinds


class How(Enum):
    """How a fact was found."""

    DECLARED = "declared"
    INFERRED = "inferred"
    ASSUMED = "assumed"


class Finding(Struct, frozen=True):
    """A fact about the tune in words: its subject, its value, how it was found and why."""

    subject: str
    value: str
    how: How
    reason: str = ""


class About(Struct, frozen=True):
    """Everything said about a tune in its headings, resolved. None is: not said."""

    title: str
    setup: Setup
    key: Key | None
    meter: Meter | None
    dance: MeterPrior | None
    tempo: Fraction | None
    composer: str
    source: str
    style: str
    findings: tuple[Finding, ...]


def read_about(grid: GridTune, instrument: Instrument, problems: ProblemList) -> About:
    """Resolve the headings of a tune; what cannot be resolved is a problem with its place."""
    said = {h.key: h for h in grid.headings}
    findings: list[Finding] = []

    def text(key: str) -> str:
        return said[key].text.strip() if key in said else ""

    tuning, found = _tuning(grid, said.get("tuning"), instrument, problems)
    findings.append(found)
    setup = _setup(tuning, said, instrument, problems, findings)
    key = _key(said.get("key"), problems)
    meter = None
    if (heading := said.get("time")) is not None and (meter := parse_meter(heading.text)) is None:
        problems.add(
            kinds.TIME,
            f"{heading.text!r} is no time signature; write it as 4/4, 3/4, 6/8 or cut time",
            heading.place,
        )
    tempo = _tempo(said.get("tempo"), meter, problems)
    return About(
        title=text("title"),
        setup=setup,
        key=key,
        meter=meter,
        dance=prior_of([text("title"), text("style"), *_short_words(grid)]),
        tempo=tempo,
        composer=text("composer"),
        source=text("source"),
        style=text("style"),
        findings=tuple(findings),
    )


def _short_words(grid: GridTune) -> list[str]:
    """Words at the head of a tune that may name a dance: the first section, a remark of a word
    or two."""
    words = [note.text for note in grid.notes if note.before_measure == 0]
    sections = [m.section or "" for m in grid.measures[:1]]
    return sections + [text for text in words if len(text.split()) <= 2]


def _tuning(
    grid: GridTune, heading: Heading | None, instrument: Instrument, problems: ProblemList
) -> tuple[Tuning, Finding]:
    by_labels = _tuning_of_labels(grid, instrument)
    if heading is not None:
        tuning = parse_tuning(heading.text, instrument)
        if tuning is not None:
            if by_labels is not None and by_labels.written != tuning.written:
                _compare_labels(tuning, by_labels, heading, problems)
            letters = letters_in(heading.text)
            usual = from_letters(letters, instrument) if letters else None
            turned = usual is not None and usual.written != tuning.written
            said = "named in the heading" + (", from string 1 on" if turned else "")
            return tuning, Finding(
                subject="tuning", value=_name(tuning), how=How.DECLARED, reason=said
            )
        close = suggest(heading.text, instrument)
        hint = f"; did you mean {close!r}?" if close else "."
        words = (
            f"the tuning {heading.text!r} is not known{hint} Write its name (rollstave tunings "
            f"lists them) or its {instrument.strings} letters, as {instrument.default.written}"
        )
        if by_labels is None:
            problems.add(kinds.TUNING, words, heading.place)
        else:
            decided = f"{words}; the row labels decide"
            problems.add(kinds.TUNING, decided, heading.place, Severity.WARNING)
    if by_labels is not None:
        reason = "the labels of the rows name the strings"
        meant = [t for t in instrument.tunings if _same_letters(t, by_labels)]
        if not by_labels.name and len(meant) == 1:
            by_labels, reason = meant[0], f"{reason}, which leave out sharps and flats"
        return by_labels, Finding(
            subject="tuning", value=_name(by_labels), how=How.INFERRED, reason=reason
        )
    guess = guess_tuning(grid, instrument)
    default = instrument.default
    # Where the usual tuning is assumed all the same, the likelier one was close as well.
    fits = guess.close
    if guess.confidence < ENOUGH and guess.confidence and guess.tuning is not default:
        fits = (guess.tuning, *(t for t in fits if t is not default))
    others = ", ".join(f"{t.name} ({t.written})" for t in fits)
    close = f"; close to it: {others}" if others else ""
    if guess.confidence >= ENOUGH and heading is None:
        if guess.tuning is not default:
            problems.add(
                kinds.TUNING_INFERRED,
                f"no tuning is named; {_name(guess.tuning)} is read ({guess.confidence:.0%}): "
                f"{guess.reason}{close}. If that is wrong, add a line such as: "
                f"Tuning: {default.written}",
            )
        reason = f"{guess.reason}, {guess.confidence:.0%} sure{close}"
        return guess.tuning, Finding(
            subject="tuning", value=_name(guess.tuning), how=How.INFERRED, reason=reason
        )
    if heading is None:
        problems.add(
            kinds.TUNING_ASSUMED,
            f"no tuning is named and no labels decide it; {default.name} ({default.written}) is "
            f"assumed{close}. If that is wrong, add a line such as: "
            f"Tuning: {instrument.tunings[1 % len(instrument.tunings)].written}",
        )
    reason = f"the usual tuning{close}"
    return default, Finding(subject="tuning", value=_name(default), how=How.ASSUMED, reason=reason)


def _tuning_of_labels(grid: GridTune, instrument: Instrument) -> Tuning | None:
    if len(grid.labels) != instrument.strings:
        return None
    letters = [
        (label[0].upper(), accidental(label[1:].strip("'0123456789") or None))
        for label in reversed(grid.labels)
    ]
    return from_letters(letters, instrument)


def _compare_labels(
    tuning: Tuning, labels: Tuning, heading: Heading, problems: ProblemList
) -> None:
    # Labels may name the strings as they are without the capo that the tuning's name implies, and
    # leave out sharps and flats.
    if tuning.base == labels.written or _same_letters(tuning, labels):
        return
    problems.add(
        kinds.LABELS,
        f"the heading says {tuning.written} but the labels of the rows say {labels.written}; "
        "the heading counts",
        heading.place,
    )


def _same_letters(tuning: Tuning, labels: Tuning) -> bool:
    """True if labels without any sharp or flat name the strings of a tuning that has some."""
    return all(p.alter == 0 for p in labels.pitches) and [p.step for p in tuning.pitches] == [
        p.step for p in labels.pitches
    ]


def _name(tuning: Tuning) -> str:
    return f"{tuning.name} ({tuning.written})" if tuning.name else tuning.written


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
    if match := re.search(r"\d+", text):
        return int(match[0])
    words = re.findall(r"[a-z]+", text.lower())
    return next((_WORDS[word] for word in words if word in _WORDS), None)


def _setup(
    tuning: Tuning,
    said: dict[str, Heading],
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
        if capo and tuning.base and tuning.capo == capo:
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


def _raised(setup: Setup) -> Pitch:
    from rollstave.pitch import spell

    short = setup.instrument.short_string
    assert short is not None
    return spell(setup.open_midi(short.string), 2 if setup.capo else 0)


def _short_string(
    setup: Setup, heading: Heading, problems: ProblemList, findings: list[Finding]
) -> Setup:
    """What the heading for the short string says: a pitch, a fret for its capo, a number."""
    short = setup.instrument.short_string
    assert short is not None
    words = heading.text.strip()
    low = words.lower()
    open_pitch = setup.tuning.pitches[short.string - 1]
    numbering = setup.short_numbering
    raised: int | None = None
    by = "peg" if re.search(r"\b(tuned|peg(?!.*count))\b", low) else "capo"
    if re.search(r"\b(count|number|own|from its|from the peg)", low):
        numbering, by = "peg", "capo"
        raised = setup.short_raise
    if match := re.search(
        r"(?:\b(?:capo(?:ed)?|spiked?|fret)\s+(?:on|at|fret)?|^(?:on|at)(?:\s+fret)?)\s*(\d+)", low
    ):
        raised = int(match[1]) - short.peg_fret
    elif re.search(r"\b(not raised|no capo|not capoed|unraised|open|as it is|none)\b", low):
        raised = 0
    elif match := re.search(rf"(?:raised?|up|by)\s+(?:by\s+)?({_A_NUMBER})\b", low):
        raised = _number(match[1])
    elif match := re.search(r"(?:^|\bto\s+|\bat\s+)([A-Ga-g])(#|b|♯|♭)?(?![a-z])", words):
        letters = letters_in(match[1] + (match[2] or "")) or []
        wanted = Pitch(letters[0][0], letters[0][1], open_pitch.octave)
        raised = (wanted.midi - open_pitch.midi) % 12
        raised = raised - 12 if raised > 7 else raised
    if raised is None or not -5 <= raised <= 12:
        problems.add(
            kinds.FIFTH_STRING,
            f"{words!r} does not say how the fifth string is set; write for instance "
            '"Fifth string: raised to A", "Fifth string: capo 7" or "Fifth string: not raised"',
            heading.place,
        )
        return setup
    if raised < 0:
        by = "peg"
    result = Setup(
        instrument=setup.instrument,
        tuning=setup.tuning,
        capo=setup.capo,
        short_raise=raised,
        short_raised_by="peg" if by == "peg" else "capo",
        short_numbering="peg" if numbering == "peg" else "neck",
    )
    value = f"raised {raised} semitones to {_raised(result).letter}" if raised else "not raised"
    if numbering == "peg":
        value += ", its frets counted from its own peg"
    findings.append(Finding("fifth string", value, How.DECLARED))
    return result


def _key(heading: Heading | None, problems: ProblemList) -> Key | None:
    if heading is None:
        return None
    key = parse_key(heading.text)
    if key is None:
        # "G (really D)" and the like: the first word decides if it is a key by itself.
        first = re.match(r"[A-Ga-g][#b♯♭]?m?(?=\W|$)", heading.text.strip())
        key = parse_key(first[0]) if first else None
    if key is None:
        problems.add(
            kinds.KEY, f"{heading.text!r} is no key; write it as G, Am or G dorian", heading.place
        )
    return key


def _tempo(heading: Heading | None, meter: Meter | None, problems: ProblemList) -> Fraction | None:
    """Quarter notes a minute."""
    if heading is None:
        return None
    tempo = parse_tempo(heading.text, meter)
    if tempo is None:
        problems.add(
            kinds.TEMPO,
            f"{heading.text!r} is no tempo; write beats a minute, as 100",
            heading.place,
        )
    return tempo
