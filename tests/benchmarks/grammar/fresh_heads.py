"""Values that are set aside afresh. WHO MENDS THE READER MUST NOT READ THIS MODULE.

Its texts are only reported on, as totals.

Headings: how each fact is worded, how the facts are laid out, where they stand."""

from __future__ import annotations

from tests.benchmarks.grammar.choices import Table
from tests.benchmarks.grammar.heads import fact, facts_of_lines, sentence, time_fact, tuning_fact
from tests.benchmarks.grammar.model import Fact, Tune
from tests.benchmarks.grammar.words import letters

VALUES = Table()


@VALUES.function("tuning word", "in capitals", weight=1)
def tuning_capitals(tune: Tune) -> Fact | None:
    w = "".join(x[0].upper() + x[1:] for x in letters(tune.tuning.written))
    return fact("tuning", "Tuning", w, w, f"tuned {w}")


@VALUES.function("tuning word", "low to high", weight=0.6)
def tuning_low_to_high(tune: Tune) -> Fact | None:
    w = " ".join(letters(tune.tuning.written))
    n = tune.tuning.strings
    return fact(
        "tuning", f"Tuning ({n}th to 1st)", w, f"tuning {w}", f"tuned {w} from {n}th to 1st"
    )


@VALUES.function("tuning word", "strokes", weight=0.4)
def tuning_strokes(tune: Tune) -> Fact | None:
    w = "/".join(letters(tune.tuning.written))
    return fact("tuning", "Tuning", w, f"tuning {w}", f"tuned {w}")


@VALUES.function("tuning word", "tuned to a name", weight=0.8)
def tuning_to_name(tune: Tune) -> Fact | None:
    if not tune.tuning.names:
        return tuning_fact(tune)
    w = tune.tuning.names[0]
    return fact("tuning", "Tuned to", w, f"tuned to {w}", f"tuned to {w}")


@VALUES.function("tuning word", "dash and name", weight=0.5)
def tuning_dash(tune: Tune) -> Fact | None:
    if not tune.tuning.names:
        return tuning_fact(tune)
    w = f"{tune.tuning.written} - {tune.tuning.names[0]}"
    return fact("tuning", "Tuning", w, w, f"tuned {tune.tuning.written}")


@VALUES.function("time word", "blanks at the stroke", weight=0.4)
def time_blanks(tune: Tune) -> Fact | None:
    w = tune.meter.written.replace("/", " / ")
    return fact("time", "Time", w, f"time {w}", f"in {w} time")


@VALUES.function("time word", "spelled", weight=0.5)
def time_spelled(tune: Tune) -> Fact | None:
    names = {"2": "two", "3": "three", "4": "four", "5": "five", "6": "six", "8": "eight"}
    above, below = tune.meter.written.split("/")
    if above not in names:
        return time_fact(tune)
    w = f"{names[above]}-{names[below]}"
    return fact("time", "Time", w, f"{w} time", f"in {w} time")


@VALUES.function("time word", "signature", weight=0.5)
def time_sign(tune: Tune) -> Fact | None:
    w = tune.meter.written
    return fact("time", "Signature", w, f"signature {w}", f"with the signature {w}")


@VALUES.function("key word", "major in short", weight=0.6)
def key_short(tune: Tune) -> Fact | None:
    w = f"{tune.key[:-1]} min" if tune.key.endswith("m") else f"{tune.key} maj"
    return fact("key", "Key", w, w, f"in {w}")


@VALUES.function("key word", "major in one", weight=0.3)
def key_one_word(tune: Tune) -> Fact | None:
    w = f"{tune.key[:-1]}-minor" if tune.key.endswith("m") else f"{tune.key}-major"
    return fact("key", "Key", w, w, f"in {w}")


@VALUES.function("capo", "spelled", weight=0.5)
def capo_spelled(tune: Tune) -> tuple[int, Fact | None]:
    w = "second fret"
    return 2, fact("capo", "Capo", w, f"capo {w}", f"with the capo on the {w}")


@VALUES.function("capo", "at sign", weight=0.4)
def capo_at(tune: Tune) -> tuple[int, Fact | None]:
    return 4, fact("capo", "Capo", "@ 4", "capo @ 4", "capo @ 4")


@VALUES.function("capo", "fret and number", weight=0.5)
def capo_number(tune: Tune) -> tuple[int, Fact | None]:
    return 3, fact("capo", "Capo", "fret 3", "capo at fret 3", "with the capo at the third fret")


@VALUES.function("capo", "no", weight=0.4)
def capo_no(tune: Tune) -> tuple[int, Fact | None]:
    return 0, fact("capo", "Capo", "no", "capo: no", "with no capo")


@VALUES.function("tempo", "M.M.", weight=0.5)
def tempo_mm(tune: Tune) -> tuple[int, Fact | None]:
    return 92, fact("tempo", "M.M.", "92", "M.M. 92", "at M.M. 92")


@VALUES.function("tempo", "about", weight=0.6)
def tempo_about(tune: Tune) -> tuple[int, Fact | None]:
    return 100, fact("tempo", "Tempo", "about 100 bpm", "about 100 bpm", "at about 100 bpm")


VALUES.row("persons", "words and music", ("Words and music",), weight=0.5)
VALUES.row("persons", "written by, tab by", ("Written by", "Tab by"), weight=0.6)
VALUES.row("persons", "transcribed by", ("Transcribed by",), weight=0.6)
VALUES.row("persons", "in short", ("Comp.", "Arr."), weight=0.4)
VALUES.row("persons", "from the playing of", ("From the playing of",), weight=0.3)


# The title's line.
VALUES.row("title", "between dashes", "-- {} --", weight=0.5)
VALUES.row("title", "between underscores", "_{}_", weight=0.3)
VALUES.row("title", "underlined with tildes", "LINE~", weight=0.4)
VALUES.row("title", "underlined with stars", "LINE*", weight=0.4)
VALUES.row("title", "numbered", "1. {}", weight=0.2)
VALUES.row("title", "tab for", "Tab for {}", weight=0.3)


# Facts as lines.
@VALUES.function("layout", "colon without a blank", weight=0.5)
def tight(facts: list[Fact]) -> list[str]:
    return facts_of_lines(facts, "{}:{}")


@VALUES.function("layout", "blank before the colon", weight=0.5)
def loose(facts: list[Fact]) -> list[str]:
    return facts_of_lines(facts, "{} : {}")


@VALUES.function("layout", "tab characters", weight=0.5)
def tabbed(facts: list[Fact]) -> list[str]:
    return facts_of_lines(facts, "{}:\t{}")


@VALUES.function("layout", "arrows", weight=0.3)
def arrows(facts: list[Fact]) -> list[str]:
    return facts_of_lines(facts, "{} -> {}")


@VALUES.function("layout", "forum bold", weight=0.5)
def forum_bold(facts: list[Fact]) -> list[str]:
    return facts_of_lines(facts, "[b]{}:[/b] {}")


@VALUES.function("layout", "round bullets", weight=0.5)
def round_bullets(facts: list[Fact]) -> list[str]:
    return facts_of_lines(facts, "\u2022 {}: {}")


@VALUES.function("layout", "numbered list", weight=0.3)
def numbered(facts: list[Fact]) -> list[str]:
    return [f"{n}. {f.label}: {f.value}" for n, f in enumerate(facts, 1)]


@VALUES.function("layout", "short forms on lines", weight=0.8)
def short_lines(facts: list[Fact]) -> list[str]:
    return [f.short[0].upper() + f.short[1:] if f.name != "tuning" else f.short for f in facts]


@VALUES.function("layout", "short forms with semicolons", weight=0.6)
def short_semicolons(facts: list[Fact]) -> list[str]:
    return ["; ".join(f.short for f in facts)]


@VALUES.function("layout", "telegram", weight=0.5)
def telegram(facts: list[Fact]) -> list[str]:
    return [" ".join(f"{f.label} {f.value}." for f in facts)]


@VALUES.function("layout", "strokes between", weight=0.4)
def strokes(facts: list[Fact]) -> list[str]:
    return [" // ".join(f"{f.label}: {f.value}" for f in facts)]


@VALUES.function("layout", "two in a row", weight=0.6)
def two_in_a_row(facts: list[Fact]) -> list[str]:
    texts = [f"{f.label}: {f.value}" for f in facts]
    wide = max(map(len, texts)) + 6
    pairs = [texts[i : i + 2] for i in range(0, len(texts), 2)]
    return ["".join(text.ljust(wide) for text in pair).rstrip() for pair in pairs]


@VALUES.function("layout", "value on the next line", weight=0.3)
def next_line(facts: list[Fact]) -> list[str]:
    return [line for f in facts for line in (f"{f.label}:", f"    {f.value}")]


@VALUES.function("layout", "labels to the right", weight=0.4)
def to_the_right(facts: list[Fact]) -> list[str]:
    wide = max(len(f.label) for f in facts) + 2
    return [f"{f.label:>{wide}}: {f.value}" for f in facts]


@VALUES.function("layout", "front matter", weight=0.3)
def front_matter(facts: list[Fact]) -> list[str]:
    return ["---", *(f"{f.label.lower()}: {f.value}" for f in facts), "---"]


@VALUES.function("layout", "between rules", weight=0.4)
def between_rules(facts: list[Fact]) -> list[str]:
    lines = facts_of_lines(facts, "{}: {}")
    rule = "=" * max(map(len, lines))
    return [rule, *lines, rule]


@VALUES.function("layout", "I play this", weight=0.6)
def i_play_this(facts: list[Fact]) -> list[str]:
    return [sentence("I play this ", facts) + "."]


VALUES.row("place of headings", "after the signs", "after the signs", weight=0.5)
VALUES.row("place of headings", "at the very end", "end", weight=0.5)
