"""The choice of a title on texts of sets that the weights were not fitted on, against the rules.

    python -m tests.benchmarks.titles [--fit] [--each] [--also FOLDER] [--also-heads FILE]

Each set of ``unlike``, and each tenth of the typed heads, is left out in turn. ``--fit`` writes the
package's table, from all of them; ``--also`` and ``--also-heads`` name texts with truths, and
heads, that nothing is fitted on. The rules were written with sight of the sets, which flatters
them.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from tests.benchmarks.titles.fit import fitted
from tests.benchmarks.titles.material import HEADS, SETS, Known, known, known_heads

import rollstave
from rollstave.reading.words.title_chosen import SURE, TAKEN
from rollstave.reading.words.title_model import plain_name, weighed

DATA = Path(rollstave.__file__).parent / "data" / "titles.json"


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.titles")
    parser.add_argument("--fit", action="store_true")
    parser.add_argument("--each", action="store_true")
    parser.add_argument("--also", type=Path)
    parser.add_argument("--also-heads", type=Path)
    options = parser.parse_args()
    sets = {
        folder.name: known(folder) for folder in sorted(SETS.iterdir()) if any(folder.glob("*.txt"))
    }
    for text in (text for path in HEADS for text in known_heads(path)):
        sets.setdefault(text.group, []).append(text)
    everything = [text for texts in sets.values() for text in texts]
    outcomes: list[tuple[Known, str, float]] = []
    for name, texts in sets.items():
        table = fitted([text for text in everything if text.group != name])
        outcomes += [_outcome(text, table) for text in texts]
    heads = [o for o in outcomes if o[0].group.startswith("heads")]
    _report("heads", heads, options.each)
    people = [o for o in outcomes if not o[0].again and o not in heads]
    _report("typed by people", people, options.each)
    _report("under other heads", [o for o in outcomes if o[0].again], False)
    table = fitted(everything)
    if options.also:
        also = [text for text in known(options.also) if not text.again]
        _report(options.also.name, [_outcome(text, table) for text in also], options.each)
    if options.also_heads:
        also = known_heads(options.also_heads)
        _report("other heads", [_outcome(text, table) for text in also], options.each)
    if options.fit:
        rows = ",\n".join(f"{json.dumps(s)}: {w}" for s, w in table.items())
        DATA.write_text(f"{{{rows}}}\n", encoding="utf-8")


def _outcome(text: Known, table: dict[str, float]) -> tuple[Known, str, float]:
    best = weighed(text.found, table)[0]
    return text, plain_name(best.candidate.name), best.likely


def _report(name: str, outcomes: list[tuple[Known, str, float]], each: bool) -> None:
    rules = model = both = better = worse = sure = false = 0
    for text, best, likely in outcomes:
        right, taken = plain_name(text.right), plain_name(text.taken)
        chosen = best if likely >= TAKEN else taken
        sure += likely >= SURE
        false += likely >= SURE and best != right
        rules += taken == right
        model += best == right
        both += chosen == right
        better += chosen == right != taken
        worse += chosen != right == taken
        if each and not best == taken == right:
            print(
                f"  {text.group} {text.name}: rules {taken!r}, model {best!r} {likely:.2f}, "
                f"right {right!r}"
            )
    print(
        f"{name}: {len(outcomes)} texts; right by the rules {rules}, by the model alone {model}, "
        f"by both {both} ({better} better, {worse} worse); sure {sure}, wrongly {false}"
    )


if __name__ == "__main__":
    main()
