"""Headings: how each fact is worded, how the facts are laid out, where they stand."""

from __future__ import annotations

from tests.benchmarks.grammar.choices import Table
from tests.benchmarks.grammar.heads import (
    fact,
    facts_of_lines,
    sentence,
    time_fact,
    tuning_fact,
)
from tests.benchmarks.grammar.model import Fact, Tune
from tests.benchmarks.grammar.words import letters

VALUES = Table()


@VALUES.function("tuning word", "letters", weight=5)
def tuning_letters(tune: Tune) -> Fact | None:
    w = tune.tuning.written
    return fact("tuning", "Tuning", w, w, f"tuned {w}")


@VALUES.function("tuning word", "letters apart", weight=1)
def tuning_apart(tune: Tune) -> Fact | None:
    w = " ".join(letters(tune.tuning.written))
    return fact("tuning", "Tuning", w, f"tuning {w}", f"tuned {w}")


@VALUES.function("tuning word", "letters with hyphens", weight=1)
def tuning_hyphens(tune: Tune) -> Fact | None:
    w = "-".join(letters(tune.tuning.written))
    return fact("tuning", "Tuned", w, f"tuned {w}", f"tuned {w}")


@VALUES.function("tuning word", "name and letters", weight=1)
def tuning_name_first(tune: Tune) -> Fact | None:
    if not tune.tuning.names:
        return tuning_fact(tune)
    w = f"{tune.tuning.names[0]}, {tune.tuning.written}"
    return fact("tuning", "Tuning", w, w, f"in {tune.tuning.names[0]} ({tune.tuning.written})")


@VALUES.function("tuning word", "name", weight=1.5)
def tuning_name(tune: Tune) -> Fact | None:
    if not tune.tuning.names:
        return tuning_fact(tune)
    name = tune.tuning.names[-1]
    short = name if "tuning" in name else f"{name} tuning"
    return fact("tuning", "Tuning", name, short, f"in {short}")


@VALUES.function("tuning word", "tune to", weight=0.5)
def tuning_tune_to(tune: Tune) -> Fact | None:
    w = tune.tuning.written
    return fact("tuning", "Tune to", w, f"tune to {w}", f"tuned to {w}")


@VALUES.function("tuning word", "the instrument's tuning", weight=0.5)
def tuning_of(tune: Tune) -> Fact | None:
    w, what = tune.tuning.written, tune.tuning.instrument
    label = f"{what.capitalize()} tuning"
    return fact("tuning", label, w, f"{what} tuning {w}", f"with the {what} tuned {w}")


@VALUES.function("tuning word", "commas", weight=0.4)
def tuning_commas(tune: Tune) -> Fact | None:
    w = ", ".join(letters(tune.tuning.written))
    return fact("tuning", "Tuning", w, f"tuning {w.replace(',', '')}", f"tuned {w}")


@VALUES.function("tuning word", "from string one", weight=0.3)
def tuning_ordered(tune: Tune) -> Fact | None:
    pairs = enumerate(reversed(letters(tune.tuning.written)), 1)
    w = ", ".join(f"{n}={x}" for n, x in pairs)
    return fact("tuning", "Tuning", w, f"tuning {w}", f"with the strings {w}")


VALUES.row("tuning word", "absent", lambda tune: None, weight=1)


@VALUES.function("time word", "time", weight=4)
def time_time(tune: Tune) -> Fact | None:
    w = tune.meter.written
    return fact("time", "Time", w, w, f"in {w}")


@VALUES.function("time word", "meter", weight=1)
def time_meter(tune: Tune) -> Fact | None:
    w = tune.meter.written
    return fact("time", "Meter", w, f"{w} meter", f"in {w} meter")


@VALUES.function("time word", "time signature", weight=1)
def time_signature(tune: Tune) -> Fact | None:
    w = tune.meter.written
    return fact("time", "Time signature", w, f"time sig. {w}", f"with {w} for its time signature")


@VALUES.function("time word", "with time", weight=1)
def time_after(tune: Tune) -> Fact | None:
    w = tune.meter.written
    return fact("time", "Timing", w, f"{w} time", f"in {w} time")


@VALUES.function("time word", "metre", weight=0.5)
def time_metre(tune: Tune) -> Fact | None:
    w = tune.meter.written
    return fact("time", "Metre", w, f"metre {w}", f"in a metre of {w}")


@VALUES.function("time word", "beats in a bar", weight=0.4)
def time_bar(tune: Tune) -> Fact | None:
    w = tune.meter.written
    return fact("time", "Rhythm", w, f"{w} rhythm", f"with a {w} rhythm")


@VALUES.function("time word", "beat", weight=0.3)
def time_beat(tune: Tune) -> Fact | None:
    w = tune.meter.written
    return fact("time", "Beat", w, f"{w} beat", f"with a {w} beat")


@VALUES.function("time word", "count in every bar", weight=0.4)
def time_count(tune: Tune) -> Fact | None:
    if tune.meter.written not in ("4/4", "3/4", "6/8"):
        return time_fact(tune)
    w = " ".join("123456"[: int(tune.meter.written[0])]) + " in every bar"
    return fact("time", "Count", w, f"count {w}", f"counted {w}")


@VALUES.function("time word", "with the kind of dance", weight=0.3)
def time_dance(tune: Tune) -> Fact | None:
    w = tune.meter.written
    dance = {"3/4": "waltz", "6/8": "jig", "2/4": "march"}.get(w, "reel")
    return fact("time", "Time", f"{w} ({dance})", f"{w} ({dance})", f"in {w}, as a {dance}")


VALUES.row("time word", "absent", lambda tune: None, weight=1.5)


@VALUES.function("key word", "key", weight=3)
def key_key(tune: Tune) -> Fact | None:
    return fact("key", "Key", tune.key, f"key {tune.key}", f"in the key of {tune.key}")


@VALUES.function("key word", "key of", weight=1.5)
def key_of(tune: Tune) -> Fact | None:
    return fact("key", "Key of", tune.key, f"key of {tune.key}", f"in the key of {tune.key}")


@VALUES.function("key word", "with major", weight=0.7)
def key_major(tune: Tune) -> Fact | None:
    w = f"{tune.key[:-1]} minor" if tune.key.endswith("m") else f"{tune.key} major"
    return fact("key", "Key", w, w, f"in {w}")


VALUES.row("key word", "absent", lambda tune: None, weight=3)


@VALUES.function("capo", "none", weight=8)
def capo_none(tune: Tune) -> tuple[int, Fact | None]:
    return 0, None


@VALUES.function("capo", "fret", weight=1)
def capo_fret(tune: Tune) -> tuple[int, Fact | None]:
    return 2, fact("capo", "Capo", "2", "capo 2", "with the capo at fret 2")


@VALUES.function("capo", "on", weight=0.5)
def capo_on(tune: Tune) -> tuple[int, Fact | None]:
    return 2, fact("capo", "Capo on", "2", "capo on 2", "capo on fret two")


@VALUES.function("capo", "up", weight=0.4)
def capo_up(tune: Tune) -> tuple[int, Fact | None]:
    return 3, fact("capo", "Capo up", "3", "capo up 3", "capoed up 3 frets")


@VALUES.function("tempo", "none", weight=8)
def tempo_none(tune: Tune) -> tuple[int, Fact | None]:
    return 0, None


@VALUES.function("tempo", "beats a minute", weight=1)
def tempo_bpm(tune: Tune) -> tuple[int, Fact | None]:
    return 88, fact("tempo", "Tempo", "88 bpm", "88 bpm", "at 88 bpm")


@VALUES.function("tempo", "note value", weight=0.6)
def tempo_note(tune: Tune) -> tuple[int, Fact | None]:
    name = {"2/2": "half", "6/8": "dotted quarter"}.get(tune.meter.written, "quarter")
    w = f"{name} note = 80"
    return 80, fact("tempo", "Tempo", w, w, f"at {w}")


@VALUES.function("tempo", "speed", weight=0.4)
def tempo_speed(tune: Tune) -> tuple[int, Fact | None]:
    return 72, fact(
        "tempo", "Speed", "72 beats per minute", "72 beats per minute", "at 72 beats per minute"
    )


@VALUES.function("tempo", "metronome", weight=0.4)
def tempo_metronome(tune: Tune) -> tuple[int, Fact | None]:
    return 84, fact("tempo", "Metronome", "84", "metronome 84", "with the metronome at 84")


VALUES.row("persons", "none", (), weight=4)
VALUES.row("persons", "by", ("By",), weight=0.7)
VALUES.row("persons", "composer and tabbed by", ("Composed by", "Tabbed by"), weight=0.4)


# The title's line.
VALUES.row("title", "alone", "{}", weight=5)
VALUES.row("title", "absent", None, weight=0.7)
VALUES.row("title", "with label", "Title: {}", weight=2)
VALUES.row("title", "tune", "Tune: {}", weight=0.5)
VALUES.row("title", "song", "Song: {}", weight=0.5)
VALUES.row("title", "name", "Name: {}", weight=0.3)
VALUES.row("title", "by somebody", "{} by Orla Finch", weight=0.3)
VALUES.row("title", "markdown heading", "# {}", weight=0.5)
VALUES.row("title", "bold", "**{}**", weight=0.3)
VALUES.row("title", "in the middle", "                    {}", weight=0.5)
VALUES.row("title", "html heading", "<h1>{}</h1>", weight=0.3)
VALUES.row("title", "capitals", "UPPER", weight=1)
VALUES.row("title", "underlined", "LINE=", weight=1)
VALUES.row("title", "underlined with dashes", "LINE-", weight=0.7)
VALUES.row("title", "stars", "*** {} ***", weight=0.6)
VALUES.row("title", "equals signs", "== {} ==", weight=0.4)
VALUES.row("title", "in quotes", '"{}"', weight=0.4)


# Facts as lines.
@VALUES.function("layout", "own lines", weight=5)
def own_lines(facts: list[Fact]) -> list[str]:
    return facts_of_lines(facts, "{}: {}")


@VALUES.function("layout", "one line with labels", weight=1)
def one_line_labels(facts: list[Fact]) -> list[str]:
    return ["   ".join(f"{f.label}: {f.value}" for f in facts)]


@VALUES.function("layout", "one line with semicolons", weight=0.5)
def one_line_semicolons(facts: list[Fact]) -> list[str]:
    return ["; ".join(f"{f.label}: {f.value}" for f in facts)]


@VALUES.function("layout", "one line with bars", weight=0.5)
def one_line_bars(facts: list[Fact]) -> list[str]:
    return [" | ".join(f"{f.label}: {f.value}" for f in facts)]


@VALUES.function("layout", "in brackets", weight=0.7)
def in_brackets(facts: list[Fact]) -> list[str]:
    return ["(" + ", ".join(f.short for f in facts) + ")"]


@VALUES.function("layout", "a sentence and a remark", weight=0.6)
def a_sentence_more(facts: list[Fact]) -> list[str]:
    return [sentence("We play it ", facts) + ". Take it slow at first."]


@VALUES.function("layout", "equals", weight=0.5)
def equals(facts: list[Fact]) -> list[str]:
    return facts_of_lines(facts, "{} = {}")


@VALUES.function("layout", "no sign", weight=0.5)
def no_sign(facts: list[Fact]) -> list[str]:
    return facts_of_lines(facts, "{} {}")


@VALUES.function("layout", "dash", weight=0.5)
def dash(facts: list[Fact]) -> list[str]:
    return facts_of_lines(facts, "{} - {}")


@VALUES.function("layout", "columns", weight=0.5)
def columns(facts: list[Fact]) -> list[str]:
    return [f"{f.label + ':':<18}{f.value}" for f in facts]


@VALUES.function("layout", "table with bars", weight=0.5)
def table(facts: list[Fact]) -> list[str]:
    wide = max(len(f.label) for f in facts)
    return ["| Fact | Value |", "|---|---|", *(f"| {f.label:<{wide}} | {f.value} |" for f in facts)]


@VALUES.function("layout", "html labels", weight=0.4)
def html(facts: list[Fact]) -> list[str]:
    return facts_of_lines(facts, "<b>{}</b>: {}<br>")


@VALUES.function("layout", "square brackets", weight=0.3)
def square(facts: list[Fact]) -> list[str]:
    return facts_of_lines(facts, "[{}: {}]")


@VALUES.function("layout", "small labels", weight=0.5)
def small_labels(facts: list[Fact]) -> list[str]:
    return [f"{f.label.lower()}: {f.value}" for f in facts]


@VALUES.function("layout", "two lines", weight=0.7)
def two_lines(facts: list[Fact]) -> list[str]:
    half = (len(facts) + 1) // 2
    lines = [facts[:half], facts[half:]]
    return [", ".join(f"{f.label}: {f.value}" for f in line) for line in lines if line]


@VALUES.function("layout", "two sentences", weight=0.5)
def two_sentences(facts: list[Fact]) -> list[str]:
    half = (len(facts) + 1) // 2
    more = [sentence("It is ", facts[half:]) + "."] if facts[half:] else []
    return [" ".join([sentence("You want to be ", facts[:half]) + ".", *more])]


@VALUES.function("layout", "blank lines between", weight=0.4)
def spaced_lines(facts: list[Fact]) -> list[str]:
    return "\n\n".join(facts_of_lines(facts, "{}: {}")).split("\n")


@VALUES.function("layout", "html table", weight=0.2)
def html_table(facts: list[Fact]) -> list[str]:
    rows = facts_of_lines(facts, "<tr><td>{}</td><td>{}</td></tr>")
    return ["<table>", *rows, "</table>"]


VALUES.row("place of headings", "top", "top", weight=8)
VALUES.row("place of headings", "after the remarks", "late", weight=0.7)
