"""What a reading took of the facts that a phrase may state, and whether that is what it states."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from tests.benchmarks.phrasebook.documents import (
    HAND,
    Document,
    Facts,
    instrument_of,
    order_of,
)

import rollstave
from rollstave.deciding.playback import play_order
from rollstave.deciding.tempo import tempo_mark
from rollstave.vocabulary.signs import COMMON
from rollstave.vocabulary.techniques import TECHNIQUES

_PART_WORDS = frozenset(["part", "the", "section", "teil", "partie", "parte", "deel", "a-part"])
_MAKERS = ("composer", "source", "arranger")
_A_WORD_MORE = 3
_OPEN_G = 67  # MIDI number of the short string
_SECOND = 2
Taken = dict[str, Any]


def taken_from(tune: rollstave.Tune) -> Taken:
    """All that may have been taken from a phrase, by name; what a tab has by itself as well."""
    score = tune.score
    declared = {f.subject: f.value for f in tune.findings if f.how is rollstave.How.DECLARED}
    names = ("meter", "tuning", "fifth string", "key", "tempo")
    found: Taken = {name: declared.get(name, "") for name in names}
    found["capo"] = score.setup.capo
    found["instrument"] = score.setup.instrument.name
    found["title"] = score.title
    found |= {f"said {key}": words for key, words in score.said}
    found["sections"] = tuple(m.section for m in score.measures if m.section)
    found["endings"] = tuple(m.ending for m in score.measures if m.ending)
    found["jumps"] = tuple(m.jump for m in score.measures if m.jump)
    found["order"] = play_order(score.measures)
    found["signs"] = tuple(sorted((s.sign, s.means) for s in score.signs))
    found["strings"] = tuple(n.string for e in score.measures[0].events for n in e.notes)
    found["pitches"] = tuple(n.pitch.midi for e in score.measures[0].events for n in e.notes)
    found["fingers"] = tuple(
        n.finger.name.lower() if n.finger and not n.inferred_finger else ""
        for e in score.measures[0].events
        for n in e.notes
    )
    found["durations"] = tuple(e.duration for e in score.measures[0].events)
    return found


# Which of what is taken belongs to which fact.
OF_FACT = {
    "time": ("meter", "durations", "fingers"),
    "tuning": ("tuning", "pitches", "key"),
    "capo": ("capo", "pitches", "tuning", "fifth string"),
    "fifth_capo": ("fifth string", "pitches"),
    "key": ("key", "pitches"),
    "tempo": ("tempo", "said pace"),
    "unit": ("durations", "meter"),
    "instrument": ("instrument", "strings", "pitches", "fingers", "order"),
    "title": ("title",),
    "source": ("said source", "said composer", "said arranger"),
    "section": ("sections",),
    "version": ("sections", "said version"),
    "ending": ("endings", "order"),
    "jump": ("jumps", "order"),
    "order": ("order",),
    "repeat": ("order", "sections"),
    "string_order": ("strings", "pitches", "fingers", "order"),
    "fifth_frets": ("fifth string", "pitches"),
    "legend": ("signs", "fingers"),
}


def is_right(fact: str, value: Any, tune: rollstave.Tune, facts: Facts, doc: Document) -> bool:
    """Whether a score has a fact."""
    found = taken_from(tune)
    rule = _RULES[fact]
    return bool(rule(value, tune, found, facts, doc))


def _plain(words: str) -> list[str]:
    return [w.strip(".,;:!?\"'()") for w in re.split(r"\s+", words.casefold().strip()) if w]


def _says(found: str, truth: str) -> bool:
    """True for words that have those of the truth in them, and hardly any more."""
    there, wanted = [w for w in _plain(found) if w], [w for w in _plain(truth) if w]
    if not wanted or len(there) > len(wanted) + _A_WORD_MORE:
        return False
    return any(there[i : i + len(wanted)] == wanted for i in range(len(there)))


def _time(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    return str(found["meter"]) == value


def _tuning(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    return bool(tune.score.setup.tuning.written.casefold() == str(value).casefold())


def _capo(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    return bool(found["capo"] == value)


def _fifth_capo(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    setup = tune.score.setup
    short = setup.instrument.short_string
    return short is not None and setup.short_raise == value - short.peg_fret


def _key(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    wanted = str(value) if " " in str(value) else f"{value} major"
    return bool(found["key"] == wanted)


def _tempo(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    score = tune.score
    if isinstance(value, int):
        if score.tempo is None:
            return False
        marks = (tempo_mark(score.tempo, score.meter)[1], *(score.tempo * n for n in (1, 2)))
        return value in (*marks, score.tempo / 2, score.tempo / Fraction(3, 2))
    return _says(found.get("said pace", ""), str(value))


def _unit(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    lasts = 2 * Fraction(value["quarters"]) / value["columns"]
    return set(found["durations"]) == {lasts}


def _instrument(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    return bool(found["instrument"] == instrument_of(facts))


def _title(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    return _plain(found["title"]) == _plain(str(value))


def _source(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    said = (found.get(f"said {key}", "") for key in _MAKERS)
    return any(_says(words, str(value)) for words in said)


def _bare_name(name: str) -> list[str]:
    words = re.findall(r"[^\W_]+", name.casefold())
    return [w for w in words if w not in _PART_WORDS]


def _section(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    name = tune.score.measures[doc.over].section or ""
    there, wanted = _bare_name(name), _bare_name(str(value))
    return bool(there) and (there == wanted or wanted[: len(there)] == there)


def _version(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    words = (*found["sections"], *tune.score.notes, *(w for _, w in tune.score.said))
    kept = " ".join(" ".join(_plain(w)) for w in (*words, tune.score.title))
    return all(word in kept for word in _plain(str(value)))


def _ending(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    ending = tune.score.measures[doc.over].ending or ""
    return ending == value or (value == "last" and ending in ("2", "last"))


def _jump(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    return value in found["jumps"]


def _passes(tune: Any) -> Iterator[str]:
    """The names of the parts, each as often as it is begun when played."""
    names = {m.index: m.section for m in tune.score.measures if m.section}
    for index in play_order(tune.score.measures):
        if index in names:
            yield " ".join(_bare_name(names[index] or ""))


def _order(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    return list(_passes(tune)) == [" ".join(_bare_name(n)) for n in order_of(facts)]


def _repeat(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    if "all" in value:
        count = len(tune.score.measures)
        return len(found["order"]) == value["all"] * count
    passes = list(_passes(tune))
    for name, times in value.items():
        bare = _bare_name(name)
        if sum(p.split()[: len(bare)] == bare for p in passes) != times:
            return False
    return True


def _string_order(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    return bool(found["strings"][0] == 1)


def _fifth_frets(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    short = [n for e in tune.score.measures[0].events for n in e.notes if n.string == 5]
    return bool(short) and short[0].pitch.midi == _OPEN_G + _SECOND


# Signs that stand where a fret would, and mean the same in every tune.
_INSTEAD = {row.instead: row.name for row in TECHNIQUES if row.instead}


def _legend(value: Any, tune: Any, found: Taken, facts: Facts, doc: Document) -> bool:
    own = dict(found["signs"])
    hand = [m for s, m in value.items() if m in HAND and len(s) == 1]
    for sign, means in value.items():
        if means in HAND:
            continue
        common = COMMON.meanings.get(sign) or COMMON.meanings.get(sign.casefold())
        there = own.get(sign) or (common.name if common else _INSTEAD.get(sign.casefold(), ""))
        if sign == "()":
            there = own.get(sign) or COMMON.brackets.name
        if sign == "<>":
            there = own.get(sign) or "harmonic"
        if not there or not (means.startswith(there) or there.startswith(means)):
            return False
    return not hand or found["fingers"][: len(hand)] == tuple(hand)


_RULES = {
    "time": _time,
    "tuning": _tuning,
    "capo": _capo,
    "fifth_capo": _fifth_capo,
    "key": _key,
    "tempo": _tempo,
    "unit": _unit,
    "instrument": _instrument,
    "title": _title,
    "source": _source,
    "section": _section,
    "version": _version,
    "ending": _ending,
    "jump": _jump,
    "order": _order,
    "repeat": _repeat,
    "string_order": _string_order,
    "fifth_frets": _fifth_frets,
    "legend": _legend,
}
