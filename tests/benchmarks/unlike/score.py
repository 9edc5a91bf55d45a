"""Comparing what was read with the truth: music, structure, facts, words; and what was said of it.

A difference is *silent* if nothing was said near it: no warning in the lines of its measure or of
the measures beside it, no doubt about its rhythm, no word on the fact that is wrong. Errors that
refuse a file are never silent. A false alarm is a warning in a text that is read rightly and whose
truth names no doubt.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

from msgspec.structs import replace
from tests.benchmarks.unlike.truth import TrueEvent, TrueMeasure, TrueNote, TrueTune

import rollstave

KINDS = ("music", "structure", "facts", "words")
_LINKS = {
    rollstave.Link.HAMMER_ON: "h",
    rollstave.Link.PULL_OFF: "p",
    rollstave.Link.SLIDE: "s",
    rollstave.Link.TAP: "t",
    rollstave.Link.TIE: "=",
}


@dataclass
class Difference:
    """What is wrong: its kind, in words, the measure it lies in (None: the tune)."""

    kind: str
    words: str
    measure: int | None = None
    silent: bool = True


@dataclass
class Compared:
    """A text: what is wrong with its reading, and the warnings given for it."""

    name: str
    refused: bool = False
    differences: list[Difference] = field(default_factory=list)
    alarms: list[str] = field(default_factory=list)

    @property
    def right(self) -> bool:
        return not self.differences and not self.refused

    @property
    def silent(self) -> list[Difference]:
        return [d for d in self.differences if d.silent]


def compare(path: Path, truth: tuple[TrueTune, ...]) -> Compared:
    """Read a text and compare it with its truth."""
    found = Compared(path.stem)
    try:
        tunes = rollstave.read(path)
    except rollstave.TabError as error:
        found.refused = True
        said = "; ".join(p.format(path.name) for p in error.problems[:3])
        found.differences.append(Difference("music", f"refused: {said}", silent=False))
        return found
    loud = [
        p
        for tune in tunes
        for p in tune.problems
        if p.severity is not rollstave.Severity.NOTICE or p.code == "rhythm-unsure"
    ]
    if len(tunes) != len(truth):
        words = f"{len(tunes)} tunes where there are {len(truth)}"
        found.differences.append(Difference("structure", words, silent=not loud))
        return found
    for tune, true in zip(tunes, truth, strict=True):
        _compare_tune(tune, true, found)
    if found.right and not any(true.doubtful for true in truth):
        found.alarms = [
            p.format(path.name)
            for tune in tunes
            for p in tune.problems
            if p.severity is rollstave.Severity.WARNING
        ]
    return found


def _compare_tune(tune: rollstave.Tune, true: TrueTune, found: Compared) -> None:
    score = tune.score
    differences = [*_facts(tune, true), *_words(tune, true)]
    if len(score.measures) != len(true.measures):
        words = f"{len(score.measures)} measures where there are {len(true.measures)}"
        differences.append(Difference("music", words))
    for index, (measure, wanted) in enumerate(zip(score.measures, true.measures, strict=False)):
        differences += _measure(index, _on_the_long_neck(measure, score.setup), wanted)
    for difference in differences:
        difference.silent = not _said(tune, difference)
    found.differences += differences


# Facts ----------------------------------------------------------------------------------------


def _letters(text: str) -> list[str]:
    return [letter[0].upper() + letter[1:] for letter in re.findall(r"[A-Ga-g][#b]?", text)]


def _plain(text: str) -> str:
    return re.sub(r"[^a-z0-9]+", " ", text.lower()).strip()


def _facts(tune: rollstave.Tune, true: TrueTune) -> list[Difference]:
    score, facts = tune.score, true.facts
    said: list[tuple[str, object, object]] = []
    if facts.get("title"):
        said.append(("title", _plain(score.title), _plain(facts["title"])))
    said.append(
        (
            "instrument",
            _instrument(score.setup.instrument.name),
            _instrument(facts["instrument"]),
        )
    )
    # A truth without a tuning leaves it open.
    wanted, capo = _letters(facts["tuning"] or ""), facts.get("capo") or 0
    sounding = [p.midi % 12 + score.setup.capo for p in reversed(score.setup.tuning.pitches)]
    true_pitch = [_pitch_class(letter) + capo for letter in wanted]
    same = [s % 12 for s in sounding[1:]] == [t % 12 for t in true_pitch[1:]]
    if wanted and (not same or len(sounding) != len(true_pitch)):
        said.append(
            ("tuning", f"{score.setup.tuning.written} capo {score.setup.capo}", (wanted, capo))
        )
    if facts.get("time"):
        said.append(("time", str(score.meter), facts["time"]))
    if facts.get("tempo") and not tempo_is(score, facts["tempo"]):
        said.append(("tempo", tempo_read(score), str(facts["tempo"])))
    if facts.get("key"):
        said.append(("key", _key(str(score.key)), _key(facts["key"])))
    return [
        Difference("facts", f"{name}: {read!r} where it is {right!r}")
        for name, read, right in said
        if read != right
    ]


def tempo_is(score: rollstave.Score, meant: object) -> bool:
    """True for the beats a minute that a truth has, or its words: some more or fewer of them stand
    over the music too."""
    if not isinstance(meant, str) or meant.isdigit():
        return tempo_read(score) == str(meant)
    words, said = _bare_words(tempo_read(score)), _bare_words(meant)
    return bool(words) and (f" {words} " in f" {said} " or f" {said} " in f" {words} ")


def tempo_read(score: rollstave.Score) -> str:
    """The beats a minute that were read, or the words for a pace."""
    if score.tempo is not None:
        return str(score.tempo / score.meter.beat)
    return dict(score.headings).get("pace", "")


def _bare_words(text: str) -> str:
    return " ".join(re.findall(r"\w+", text.casefold()))


def _key(text: str) -> str:
    """``G minor``, ``G`` and ``Gm`` are G: a truth names the tone, the mode only at times."""
    return re.sub(r"(?<=[A-G#b])m$", "", text.split()[0])


def _pitch_class(letter: str) -> int:
    return {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[letter[0]] + {
        "#": 1,
        "b": -1,
        "": 0,
    }[letter[1:]]


def _instrument(name: str) -> str:
    """The truth calls the five-string banjo banjo, any guitar guitar, any dulcimer dulcimer."""
    return {
        **{"5-string banjo": "banjo", "five-string banjo": "banjo", "bass guitar": "bass"},
        "mountain dulcimer": "dulcimer",
    }.get(name, name)


def _words(tune: rollstave.Tune, true: TrueTune) -> list[Difference]:
    score = tune.score
    kept = _plain(
        " ".join(
            [
                *score.notes,
                score.title,
                score.composer,
                score.source,
                score.style,
                *(m.section or "" for m in score.measures),
                *(m.jump or "" for m in score.measures),
                *(h.text for h in tune.grid.headings),
                *(f.text for f in tune.grid.notes),
                *(e.lyric or "" for m in score.measures for e in m.events),
            ]
        )
    )
    return [
        Difference("words", f"{remark!r} is not kept")
        for remark in true.remarks
        if remark not in _TOGETHER  # a row of letters is kept as the fingers it names
        and not all(word in kept.split() for word in _plain(remark).split())
    ]


# Measures --------------------------------------------------------------------------------------


def _measure(index: int, measure: rollstave.Measure, wanted: TrueMeasure) -> list[Difference]:
    found = []

    def wrong(kind: str, words: str) -> None:
        found.append(Difference(kind, f"measure {index + 1}: {words}", index))

    events = [e for e in measure.events if e.notes]
    # Grace notes stand in the truth without a time; ours are no events.
    timed = [e for e in wanted.events if e.notes and not _is_grace(e, wanted)]
    if [_notes(e) for e in events] != [_true(e) for e in timed]:
        wrong("music", f"notes {_shown(events)} where they are {_shown_true(timed)}")
    elif any(
        t.onset is not None and e.onset != t.onset for e, t in zip(events, timed, strict=True)
    ):
        onsets = " ".join(str(e.onset) for e in events)
        wrong("music", f"onsets {onsets} where they are {' '.join(str(t.onset) for t in timed)}")
    elif wanted.length is not None and measure.length != wanted.length:
        wrong("music", f"length {measure.length} where it is {wanted.length}")
    repeat_left = measure.left is rollstave.Bar.REPEAT_START
    repeat_right = measure.right is rollstave.Bar.REPEAT_END
    # A repeat closes an ending that another follows, also where only words say so.
    leads_back = repeat_right and wanted.ending.startswith("1") and not wanted.right
    if repeat_right != (wanted.right == "repeat") and not leads_back:
        wrong("structure", f"a repeat closes: {repeat_right}")
    if repeat_left != (wanted.left == "repeat") and not (index == 0 and not repeat_left):
        wrong("structure", f"a repeat opens: {repeat_left}")
    # A truth has the number of an ending at its first measure, or at each that it covers.
    if wanted.ending.strip(".").replace(" ", "") not in (measure.ending or "", measure.in_ending):
        wrong("structure", f"ending {measure.ending!r} where it is {wanted.ending!r}")
    if not _same_section(measure.section or "", wanted.section):
        wrong("structure", f"section {measure.section!r} where it is {wanted.section!r}")
    chords = [(c.onset, c.text) for c in measure.chords if not c.inferred]
    if wanted.chords and chords != list(wanted.chords):
        wrong("structure", f"chords {chords} where they are {list(wanted.chords)}")
    typed = [[n.finger for n in e.notes if n.finger and not n.inferred_finger] for e in events]
    letters = ["".join(dict.fromkeys(finger.value for finger in fingers)) for fingers in typed]
    # A word for all that is struck together names no finger.
    together = len(letters) == len(wanted.letters)
    if together:
        letters = [
            said if said in _TOGETHER and len(event.notes) > 1 else read
            for read, said, event in zip(letters, wanted.letters, events, strict=True)
        ]
    if wanted.letters and _STROKES.issuperset(wanted.letters):
        letters = ["D" * e.down_stroke + "U" * e.up_stroke for e in events]
    read = [_hand(x) for x in letters if x]
    if wanted.letters and read != [_hand(_WAYS.get(x, x)) for x in wanted.letters if x]:
        wrong("structure", f"letters {letters} where they are {list(wanted.letters)}")
    return found


# Ways of strokes as they are typed, and the letters that the score's ways are compared as.
_WAYS = {"d": "D", "v": "D", "u": "U", "^": "U"}
_STROKES = frozenset("DdUuv^")


def _hand(letters: str) -> list[str]:
    """Letters of fingers in one order; a thumb is p on a guitar and T on a banjo."""
    return sorted("T" if letter == "p" else letter.upper() for letter in letters)


# Words of the striking hand for several strings at once.
_TOGETHER = ("P", "pinch", "br", "brush")


def _on_the_long_neck(measure: rollstave.Measure, setup: rollstave.Setup) -> rollstave.Measure:
    """The measure with its frets as the truth has them, where the tab counts those of the short
    string from its own peg."""
    short = setup.instrument.short_string
    if short is None or setup.short_numbering != "peg":
        return measure
    events = tuple(
        replace(
            event,
            notes=tuple(
                replace(n, fret=n.fret + short.peg_fret - setup.capo)
                if n.string == short.string and n.fret
                else n
                for n in event.notes
            ),
        )
        for event in measure.events
    )
    return replace(measure, events=events)


def _is_grace(event: TrueEvent, measure: TrueMeasure) -> bool:
    """A lone event without a time in a measure where others have one: a grace note, or a slur
    that is squeezed in and is a note of its own. It is a grace note where no link is named."""
    timed = any(e.onset is not None for e in measure.events)
    return (
        event.onset is None and timed and all(not set("hpst") & set(n.marks) for n in event.notes)
    )


def _same_section(read: str, wanted: str) -> bool:
    if not wanted:
        return True  # the truth names where a section begins only where that is plain
    return _plain(wanted) in _plain(read) or (bool(read) and _plain(read) in _plain(wanted))


def _notes(event: rollstave.Event) -> frozenset[TrueNote]:
    return frozenset(
        TrueNote(n.string, "" if n.fret is None else n.fret_text, _marks(n)) for n in event.notes
    )


def _marks(note: rollstave.Note) -> str:
    marks = _LINKS[note.link] if note.link else ""
    marks += "b" if note.bend else ""
    marks += "~" if note.vibrato else ""
    marks += "x" if note.muted else ""
    marks += "*" if note.harmonic else ""
    marks += "g" if note.ghost else ""
    return "".join(sorted(marks))


def _true(event: TrueEvent) -> frozenset[TrueNote]:
    return event.notes


def _shown(events: list[rollstave.Event]) -> str:
    return " ".join(
        ",".join(f"{n.string}:{n.fret}{n.marks}" for n in sorted(_notes(e), key=lambda n: n.string))
        for e in events
    )


def _shown_true(events: list[TrueEvent]) -> str:
    return " ".join(
        ",".join(f"{n.string}:{n.fret}{n.marks}" for n in sorted(e.notes, key=lambda n: n.string))
        for e in events
    )


# What was said ---------------------------------------------------------------------------------


_OF_FACTS = {
    "tuning": ("tuning", "tuning-assumed", "tuning-inferred", "labels", "capo"),
    "time": ("time", "meter-assumed"),
    "key": ("key",),
    "tempo": ("tempo",),
    "instrument": ("instrument",),
    "title": ("title-line", "heading-twice"),
}


def _said(tune: rollstave.Tune, difference: Difference) -> bool:
    """Whether the report says that this may be wrong."""
    if difference.kind == "facts":
        fact = difference.words.partition(":")[0]
        codes = _OF_FACTS.get(fact, ())
        if any(p.code in codes for p in tune.problems):
            return True
        return fact == "key" and any(
            f.subject == "key" and f.how is not rollstave.How.DECLARED for f in tune.findings
        )
    if difference.measure is None:
        return any(p.severity is not rollstave.Severity.NOTICE for p in tune.problems)
    measures = tune.score.measures
    near = measures[max(0, difference.measure - 1) : difference.measure + 2]
    if difference.kind == "music" and not measures[difference.measure].rhythm.sure:
        return True
    return any(
        p.severity is not rollstave.Severity.NOTICE
        and p.place is not None
        and any(m.first_line - 2 <= p.place.line <= m.last_line + 2 for m in near)
        for p in tune.problems
    )


def as_share(part: int, whole: int) -> str:
    """A share in per cent, with the numbers it is made of."""
    return f"{Fraction(100 * part, max(1, whole)).__float__():.1f}% ({part} of {whole})"
