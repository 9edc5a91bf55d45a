"""Fit how far each way to say a fact is believed: ``python -m tests.benchmarks.phrasebook.fit``.

A logistic regression over the features of what the parser finds in the phrases of ``dev``: is it
what the phrase states? It is cross-validated by person, each left out in turn, since what counts
are persons whom nobody has met; ``--out`` writes the table that all of them give.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
from tests.benchmarks.phrasebook.__main__ import phrases
from tests.benchmarks.phrasebook.documents import HAND

from rollstave import known_instruments
from rollstave.instruments.tunings import parse_tuning
from rollstave.reading.saying.judge import ASKED, TAKEN
from rollstave.reading.saying.parse import Found, found_in

HEADS = sorted((Path(__file__).parents[1] / "heads").glob("*.jsonl"))
_FOLDS = 10  # groups of heads, of which each is left out in turn
_OF = {"pace": "tempo", "retuned": "tuning"}
_HANDS = {"T": "thumb", "I": "index", "M": "middle"}
_STRENGTH = {"way": 0.35, "": 0.08}  # of the prior on weights


def is_true(found: Found, facts: dict[str, Any]) -> bool:
    """Whether a phrase states what was found."""
    fact = _OF.get(found.fact, found.fact)
    if found.fact in ("order", "repeat") and ("order" in facts or "repeat" in facts):
        return _parts_are(found, facts)
    if fact not in facts:
        return False
    value, truth = found.value, facts[fact]
    rule = _RULES.get(found.fact)
    return rule(value, truth) if rule else str(value) == str(truth)


def _parts_are(found: Found, facts: dict[str, Any]) -> bool:
    pairs = found.value if isinstance(found.value, tuple) else ()
    repeat = dict(facts.get("repeat", {}))
    order = "".join(str(facts.get("order", "")).split())
    if repeat:
        bare = {k.split()[0].lower(): v for k, v in repeat.items()} | repeat
        return all(bare.get(name, bare.get(str(name).lower())) == n for name, n in pairs)
    letters = {"low": "A", "high": "B"}
    spelled = "".join(letters.get(name, name) * n for name, n in pairs)
    return spelled in order


def _unit(value: Any, truth: Any) -> bool:
    return bool(Fraction(truth["quarters"]) / truth["columns"] == value[1] / value[0])


def _order(value: Any, truth: Any) -> bool:
    number, top = value
    return (str(truth)[0] == str(number)) == top


def _retuned(value: Any, truth: Any) -> bool:
    return value[1][0] in str(truth)


def _tuning(value: Any, truth: Any) -> bool:
    letters = "".join(str(value).split())
    if letters.casefold() in (str(truth).casefold(), str(truth)[::-1].casefold()):
        return True
    return any(
        (tuning := parse_tuning(str(value), instrument)) is not None
        and tuning.written.casefold() == str(truth).casefold()
        for instrument in known_instruments()
    )


def _legend(value: Any, truth: Any) -> bool:
    pairs = value if isinstance(value[0], tuple) else (value,)
    known = {k.casefold(): v for k, v in truth.items()}
    for sign, means in pairs:
        wanted = known.get(sign.casefold(), "")
        said = _HANDS.get(means, means)
        if not wanted or not (wanted.startswith(said) or (wanted in HAND and wanted == said)):
            return False
    return True


def _words(value: Any, truth: Any) -> bool:
    there, wanted = str(value).casefold(), str(truth).casefold()
    return there in wanted or wanted in there


_RULES = {
    "tempo": lambda v, t: str(v).split()[-1] == str(t),
    "pace": lambda v, t: (isinstance(t, str) and _words(v, t.replace("slow", ""))) or _words(v, t),
    "unit": _unit,
    "string_order": _order,
    "retuned": _retuned,
    "tuning": _tuning,
    "legend": _legend,
    "source": _words,
    "section": lambda v, t: True,
    "instrument": lambda v, t: (
        v.split()[0][:4] == str(t).replace("5-string", "five-string")[:4]
        or (v == "five-string banjo" and t == "banjo")
    ),
}


def examples() -> list[tuple[str, Found, bool]]:
    """All that is found in dev: by whom, what, and whether it is so."""
    rows = []
    for phrase in [*phrases("dev"), *_heads()]:
        for line in phrase["text"].split("\n"):
            for found in found_in(line):
                if found.fact in phrase.get("asked", (found.fact,)):
                    rows.append((phrase["person"], found, is_true(found, phrase["facts"])))
    return rows


_OF_HEADS = ("tuning", "capo", "key", "time", "tempo", "instrument")


def _heads() -> Iterator[dict[str, Any]]:
    """The lines of typed heads, and the facts that they state as far as heads say them."""
    typed = [
        [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
        for path in HEADS
    ]
    in_words = [any(isinstance(head["tempo"], str) for head in heads) for heads in typed]
    every = [(head, says) for heads, says in zip(typed, in_words, strict=True) for head in heads]
    for number, (head, says) in enumerate(every):
        facts = {fact: head[fact] for fact in _OF_HEADS if head[fact] is not None}
        if "key" in facts:
            facts["key"] = facts["key"][0].upper() + facts["key"][1:]
        text = "\n".join((head["head"], head.get("tail") or ""))
        person = f"head {number % _FOLDS}"
        asked = (*_OF_HEADS, "pace") if says else _OF_HEADS
        yield {"text": text, "facts": facts, "person": person, "asked": asked}


class Model:
    """Weights by names of features."""

    def __init__(self, rows: Sequence[tuple[Found, bool]]) -> None:
        names = sorted({name for found, _ in rows for name in found.features})
        self.at = {name: i for i, name in enumerate(names)}
        x = np.zeros((len(rows), len(names) + 1))
        y = np.array([true for _, true in rows], dtype=float)
        x[:, -1] = 1.0
        for i, (found, _) in enumerate(rows):
            for name, value in found.features.items():
                x[i, self.at[name]] = value
        strength = np.array(
            [_STRENGTH["way" if n.startswith("way ") else ""] for n in names] + [0.01]
        )
        w = np.zeros(len(names) + 1)
        for _ in range(30):  # Newton's method
            p = 1 / (1 + np.exp(-x @ w))
            gradient = x.T @ (p - y) + strength * w
            hessian = (x * (p * (1 - p))[:, None]).T @ x + np.diag(strength)
            w -= np.linalg.solve(hessian, gradient)
        self.weights = dict(zip([*names, "always"], w, strict=True))

    def probability(self, found: Found) -> float:
        total = self.weights["always"]
        total += sum(self.weights.get(n, 0.0) * v for n, v in found.features.items())
        return float(1 / (1 + np.exp(-total)))


def main() -> None:
    """Cross-validate, print, and write the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", default="")
    parser.add_argument("--each", action="store_true")
    asked = parser.parse_args()
    rows = examples()
    persons = sorted({person for person, _, _ in rows})
    judged: list[tuple[Found, bool, float]] = []
    for person in persons:
        model = Model([(f, t) for p, f, t in rows if p != person])
        judged += [(f, t, model.probability(f)) for p, f, t in rows if p == person]
    table: dict[str, Counter[str]] = defaultdict(Counter)
    for found, true, p in judged:
        what = "taken" if p >= TAKEN else "asked" if p >= ASKED else "left"
        table[found.fact][f"{'true' if true else 'false'} {what}"] += 1
        if asked.each and (true != (p >= TAKEN)):
            print(f"{p:.2f} {true} {found.fact} {found.way}: {found.value}")
    columns = [f"{t} {w}" for t in ("true", "false") for w in ("taken", "asked", "left")]
    print(f"{'':14}" + "".join(f"{c:>13}" for c in columns))
    for fact, row in sorted(table.items()):
        print(f"{fact:14}" + "".join(f"{row[c]:13}" for c in columns))
    total = Counter[str]()
    for row in table.values():
        total += row
    print(f"{'all':14}" + "".join(f"{total[c]:13}" for c in columns))
    if asked.out:
        model = Model([(f, t) for _, f, t in rows])
        weights = {name: round(float(w), 3) for name, w in sorted(model.weights.items())}
        with open(asked.out, "w", encoding="utf-8") as file:
            json.dump(weights, file, indent=0)
            file.write("\n")


if __name__ == "__main__":
    main()
