"""The title's lines and the facts' lines of a tune, and what the text tells."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from tests.benchmarks.grammar.constraints import COUNTED
from tests.benchmarks.grammar.heads import fact
from tests.benchmarks.grammar.melody import NAMES, down_picking, pitch_class, roll
from tests.benchmarks.grammar.model import Fact, Line, Tune, Unreadable

SPELLED = ("numbers", "ordinals")


def title_lines(tune: Tune, data: dict[str, Any]) -> list[Line]:
    form = data["title"]
    if form is None:
        return []
    tune.told["title"] = tune.title
    if form == "UPPER":
        return [Line(tune.title.upper(), "title"), Line("", "blank")]
    if form.startswith("LINE"):
        rule = Line(form[4] * len(tune.title), "rule")
        return [Line(tune.title, "title"), rule, Line("", "blank")]
    return [Line(form.format(tune.title), "title"), Line("", "blank")]


def facts(tune: Tune, data: dict[str, Any]) -> list[Fact]:
    """The facts that the text names, in a typist's order; ``tune.told`` keeps them."""
    found: list[Fact | None] = []
    capo, capo_fact = data["capo"](tune)
    tempo, tempo_fact = data["tempo"](tune)
    sounding = NAMES[(pitch_class(tune.key) + capo) % 12] if capo else tune.key
    if capo and tune.key.endswith("m"):
        sounding += "m"
    key_fact = data["key word"](replace(tune, key=sounding))
    tuning_fact, time_fact = data["tuning word"](tune), data["time word"](tune)
    word = tune.tuning.word
    if word:
        found.append(fact("instrument", "Instrument", word, word, f"on the {word}"))
    found += [tuning_fact, key_fact, time_fact, capo_fact, tempo_fact]
    if not tuning_fact:
        _needs_no_tuning(tune, data)
    if not time_fact:
        _needs_no_time(tune, data)
    tune.capo, tune.tempo = capo, tempo
    told: dict[str, Any] = {"instrument": tune.tuning.instrument, "tuning": tune.tuning.written}
    told |= {"capo": capo}
    if time_fact:
        told["time"] = tune.meter.written
    if tempo_fact:
        told["tempo"] = str(tempo)
    if key_fact:
        told["key"] = sounding.replace("m", " minor")
    tune.told |= told
    return [f for f in found if f is not None]


def _needs_no_tuning(tune: Tune, data: dict[str, Any]) -> None:
    """The labels name it, or it is the usual one."""
    labels = data["labels"]
    named = labels is not None and labels(tune.tuning)[0][0].isalpha()
    named = named and labels.__name__ not in COUNTED
    usual = tune.tuning.usual or "standard tuning" in tune.tuning.names
    if not named and not usual:
        raise Unreadable("no tuning can be told")


def _needs_no_time(tune: Tune, data: dict[str, Any]) -> None:
    """Counts tell it; a roll of eight, or the pattern of down-picking, is taken for 4/4."""
    counted = data["counts"] and not data["counts"].once
    if tune.meter.written != "4/4" or (data["kind"] not in (roll, down_picking) and not counted):
        raise Unreadable("no time can be told")
    if data["cut"] == "last" or data["pickup"]:
        raise Unreadable("no length can be told")


def heading_lines(tune: Tune, data: dict[str, Any]) -> list[Line]:
    found = facts(tune, data)
    found += [
        fact("person", label, name, f"{label} {name}", f"{label.lower()} {name}")
        for label, name in zip(data["persons"], (tune.composer, "Jory Quill"), strict=False)
    ]
    if not found:
        return []
    lines = data["layout"](found)
    return [*(Line(text, "heading" if text else "blank") for text in lines), Line("", "blank")]
