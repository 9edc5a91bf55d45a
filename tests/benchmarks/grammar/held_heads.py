"""Values that are set aside. WHO MENDS THE READER MUST NOT READ THIS MODULE.

Its texts are only reported on, as totals.

Headings: how each fact is worded, how the facts are laid out, where they stand."""

from __future__ import annotations

from tests.benchmarks.grammar.choices import Table
from tests.benchmarks.grammar.heads import (
    boxed,
    fact,
    facts_of_lines,
    sentence,
    time_fact,
    tuning_fact,
)
from tests.benchmarks.grammar.model import Fact, Tune
from tests.benchmarks.grammar.words import letters, with_signs

VALUES = Table()


@VALUES.function("tuning word", "letters and name", weight=1.5)
def tuning_both(tune: Tune) -> Fact | None:
    if not tune.tuning.names:
        return tuning_fact(tune)
    w = f"{tune.tuning.written} ({tune.tuning.names[0]})"
    return fact("tuning", "Tuning", w, w, f"tuned {w}")


@VALUES.function("tuning word", "strings", weight=0.5)
def tuning_strings(tune: Tune) -> Fact | None:
    w = " ".join(letters(tune.tuning.written))
    return fact("tuning", "Strings", w, f"strings {w}", f"with the strings at {w}")


@VALUES.function("tuning word", "tuned to", weight=0.5)
def tuning_to(tune: Tune) -> Fact | None:
    w = tune.tuning.written
    return fact("tuning", "Tuned to", w, f"tuned to {w}", f"tuned to {w}")


@VALUES.function("tuning word", "signs for sharps and flats", weight=0.4)
def tuning_signs(tune: Tune) -> Fact | None:
    w = with_signs(tune.tuning.written)
    return fact("tuning", "Tuning", w, w, f"tuned {w}")


@VALUES.function("time word", "word", weight=0.6)
def time_word(tune: Tune) -> Fact | None:
    w = {"2/2": "cut time", "4/4": "common time", "3/4": "waltz time"}.get(tune.meter.written)
    return fact("time", "Time", w, w, f"in {w}") if w else time_fact(tune)


@VALUES.function("time word", "signature alone", weight=0.3)
def time_sig(tune: Tune) -> Fact | None:
    w = tune.meter.written
    return fact("time", "Time sig", w, f"t.s. {w}", f"with {w} as the time signature")


@VALUES.function("key word", "key signature", weight=0.3)
def key_signature(tune: Tune) -> Fact | None:
    w = f"{tune.key[:-1]} minor" if tune.key.endswith("m") else f"{tune.key} major"
    return fact("key", "Key signature", w, f"key sig. {w}", f"with the key signature of {w}")


@VALUES.function("capo", "ordinal fret", weight=0.6)
def capo_ordinal(tune: Tune) -> tuple[int, Fact | None]:
    return 2, fact("capo", "Capo", "2nd fret", "capo 2nd fret", "capo on the 2nd fret")


@VALUES.function("capo", "said to be none", weight=0.5)
def capo_said_none(tune: Tune) -> tuple[int, Fact | None]:
    return 0, fact("capo", "Capo", "none", "no capo", "without a capo")


@VALUES.function("capo", "Roman number", weight=0.3)
def capo_roman(tune: Tune) -> tuple[int, Fact | None]:
    return 2, fact("capo", "Capo", "II", "capo II", "with a capo at II")


@VALUES.function("tempo", "number", weight=1)
def tempo_number(tune: Tune) -> tuple[int, Fact | None]:
    return 96, fact("tempo", "Tempo", "96", "tempo 96", "at a tempo of 96")


VALUES.row("persons", "composer", ("Composer",), weight=0.7)
VALUES.row("persons", "arranged by", ("Arranged by",), weight=0.7)
VALUES.row("persons", "source", ("Source",), weight=0.7)
VALUES.row("persons", "from", ("Learned from",), weight=0.4)


# The title's line.
VALUES.row("title", "with the instrument", "{} (tab)", weight=0.3)


# Facts as lines.


@VALUES.function("layout", "one line", weight=2)
def one_line(facts: list[Fact]) -> list[str]:
    return [", ".join(f.short for f in facts)]


@VALUES.function("layout", "one line with dashes", weight=0.5)
def one_line_dashes(facts: list[Fact]) -> list[str]:
    return [" - ".join(f.short for f in facts)]


@VALUES.function("layout", "a sentence", weight=1)
def a_sentence(facts: list[Fact]) -> list[str]:
    return [sentence("This one is played ", facts) + "."]


@VALUES.function("layout", "capitals", weight=0.5)
def capital_labels(facts: list[Fact]) -> list[str]:
    return [f"{f.label.upper()}: {f.value}" for f in facts]


@VALUES.function("layout", "leader dots", weight=0.3)
def leaders(facts: list[Fact]) -> list[str]:
    return [f"{f.label:.<20}{f.value}" for f in facts]


@VALUES.function("layout", "list", weight=0.5)
def bullets(facts: list[Fact]) -> list[str]:
    return facts_of_lines(facts, "* {}: {}")


@VALUES.function("layout", "list with dashes", weight=0.4)
def dash_bullets(facts: list[Fact]) -> list[str]:
    return facts_of_lines(facts, "- {}: {}")


@VALUES.function("layout", "box of characters", weight=0.6)
def box(facts: list[Fact]) -> list[str]:
    return boxed(facts_of_lines(facts, "{}: {}"), "+-|")


@VALUES.function("layout", "box of stars", weight=0.4)
def star_box(facts: list[Fact]) -> list[str]:
    return boxed(facts_of_lines(facts, "{}: {}"), "***")


@VALUES.function("layout", "bold labels", weight=0.5)
def bold(facts: list[Fact]) -> list[str]:
    return facts_of_lines(facts, "**{}:** {}")


@VALUES.function("layout", "comment signs", weight=0.4)
def comments(facts: list[Fact]) -> list[str]:
    return facts_of_lines(facts, "# {}: {}")


@VALUES.function("layout", "braces", weight=0.2)
def braces(facts: list[Fact]) -> list[str]:
    return ["{" + f"{f.label.lower()}: {f.value}" + "}" for f in facts]


VALUES.row("place of headings", "foot", "foot", weight=0.7)
VALUES.row("place of headings", "above the title", "above", weight=0.7)
