"""What the headings say about a tune as a whole, understood: headings, labels, or assumption."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from fractions import Fraction

from msgspec import Struct

from rollstave.deciding.capo import set_up
from rollstave.deciding.dances import prior_of
from rollstave.deciding.tempo import parse_tempo, tempo_mark, value_name, words_of_tempo
from rollstave.deciding.tuning import find_tuning
from rollstave.grid.typed import GridTune, Heading
from rollstave.instruments.instrument import Instrument
from rollstave.instruments.setup import Setup
from rollstave.pitch import Key, parse_key, spell
from rollstave.problems import ProblemList
from rollstave.rhythm.meter import Meter, MeterPrior, parse_meter
from rollstave.score.finding import Finding, How
from rollstave.score.records import Change, Score
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.headings import ONLY_WORDS


class About(Struct, frozen=True):
    """Everything said about a tune in its headings, resolved. None is: not said.

    ``words`` are the headings that are only words, by their keys.
    """

    title: str
    setup: Setup
    key: Key | None
    meter: Meter | None
    dance: MeterPrior | None
    tempo: Fraction | None
    words: Mapping[str, str]
    findings: tuple[Finding, ...]

    @property
    def style(self) -> str:
        """How the right hand plays, in words; empty if it is not said."""
        return self.words.get("style", "")


def read_about(grid: GridTune, instrument: Instrument, problems: ProblemList) -> About:
    """Resolve the headings of a tune; what cannot be resolved is a problem with its place."""
    said = {h.key: h for h in grid.headings}
    findings: list[Finding] = []
    tuning, found = find_tuning(grid, said.get("tuning"), instrument, problems)
    findings.append(found)
    setup = set_up(tuning, said, instrument, problems, findings)
    key = key_of(said.get("key"), problems)
    meter = meter_of(said.get("time"), problems)
    tempo = tempo_of(said.get("tempo"), meter, problems)
    title = said["title"].text.strip() if "title" in said else ""
    words = {row.key: said[row.key].text.strip() for row in ONLY_WORDS if row.key in said}
    if "pace" not in words and "tempo" in said and (pace := words_of_tempo(said["tempo"].text)):
        words["pace"] = pace
    return About(
        title=title,
        setup=setup,
        key=key,
        meter=meter,
        dance=prior_of([title, words.get("style", ""), *_short_words(grid)]),
        tempo=tempo,
        words=words,
        findings=tuple(findings),
    )


def declared_beside(score: Score) -> tuple[Finding, ...]:
    """What headings say and nothing but headings can say: the tempo, and those that are words."""
    found = [Finding(key, words, How.DECLARED) for key, words in score.said]
    found += [
        Finding(subject, f"{words} from {measure.called} on", How.DECLARED)
        for measure in score.measures
        if measure.change is not None
        for subject, words in _changed(
            measure.change, score.meters[measure.index], score.setups[measure.index - 1]
        )
    ]
    if score.tempo is not None:
        words = _tempo_words(score.tempo, score.meter)
        found.insert(0, Finding("tempo", words, How.DECLARED))
    return tuple(found)


def _tempo_words(tempo: Fraction, meter: Meter) -> str:
    unit, number = tempo_mark(tempo, meter)
    return f"{value_name(unit)} = {round(number)}"


def _changed(change: Change, meter: Meter, before: Setup) -> Iterator[tuple[str, str]]:
    """The subject of each change and what it is then."""
    if change.meter is not None:
        yield "meter", str(change.meter)
    if change.setup is not None:
        yield from _set_up(change.setup, before)
    if change.key is not None:
        yield "key", str(change.key)
    if change.tempo is not None:
        yield "tempo", _tempo_words(change.tempo, meter)


def _set_up(setup: Setup, before: Setup) -> Iterator[tuple[str, str]]:
    """What of a setup is not as it was before."""
    if setup.tuning != before.tuning:
        named = f"{setup.tuning.name} " if setup.tuning.name else ""
        yield "tuning", f"{named}({setup.tuning.written})" if named else setup.tuning.written
    if setup.capo != before.capo:
        yield "capo", str(setup.capo) if setup.capo else "none"
    short = setup.instrument.short_string
    if short is not None and setup.short_raise != before.short_raise:
        yield "fifth string", f"tuned to {spell(setup.open_midi(short.string), 0).letter}"


def _short_words(grid: GridTune) -> list[str]:
    """Words at the head of a tune that may name a dance: the first section, a remark of a word
    or two."""
    words = [note.text for note in grid.notes if note.before_measure == 0]
    sections = [m.section or "" for m in grid.measures[:1]]
    return sections + [text for text in words if len(text.split()) <= 2]


def meter_of(heading: Heading | None, problems: ProblemList) -> Meter | None:
    """The meter that a heading names, None for none; what is no meter is a problem."""
    if heading is None:
        return None
    meter = parse_meter(heading.text)
    if meter is None:
        problems.add(
            kinds.TIME,
            f"{heading.text!r} is no time signature; write it as 4/4, 3/4, 6/8 or cut time",
            heading.place,
        )
    return meter


def key_of(heading: Heading | None, problems: ProblemList) -> Key | None:
    """The key that a heading names, None for none; what is no key is a problem."""
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


def tempo_of(
    heading: Heading | None, meter: Meter | None, problems: ProblemList
) -> Fraction | None:
    """The tempo that a heading names, in quarter notes a minute; what is none is a problem."""
    if heading is None:
        return None
    tempo = parse_tempo(heading.text, meter)
    if tempo is None and not words_of_tempo(heading.text):
        problems.add(
            kinds.TEMPO,
            f"{heading.text!r} is no tempo; write beats a minute, as 100",
            heading.place,
        )
    return tempo
