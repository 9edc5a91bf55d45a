"""Heads of texts whose title is known: what may be the title, with its signs, and what the rules
took. Each text of one tune is also typed under other heads (see ``heads``)."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator
from pathlib import Path
from random import Random

from msgspec import Struct
from tests.benchmarks.heads.__main__ import typed
from tests.benchmarks.titles.heads import under_another_head

import rollstave
from rollstave.reading import stages
from rollstave.reading.state import ReadingState
from rollstave.reading.words.title_candidates import Candidate
from rollstave.reading.words.title_chosen import of_head
from rollstave.reading.words.title_model import plain_name

SETS = Path(__file__).parents[1] / "unlike"
HEADS = sorted((Path(__file__).parents[1] / "heads").glob("*.jsonl"))
_FOLDS = 10  # of the heads, each left out in turn
_AGAIN = 2  # times that a text is typed under another head
_FAR = 12  # lines from the top; a title there is under no head


class Known(Struct):
    """A text whose title was guessed: its set, its name, the title before the model was asked, the
    right one as that would be, the candidates with their signs; whether it was typed again."""

    group: str
    name: str
    taken: str
    right: str
    found: list[tuple[Candidate, list[str]]]
    again: bool = False


def known(folder: Path) -> list[Known]:
    """The texts of a set, and after them those typed again."""
    found: list[Known] = []
    more: list[Known] = []
    for path in sorted(folder.glob("*.txt")):
        tunes = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))["tunes"]
        if text := _known(path, tunes, folder.name):
            found.append(text)
            more += _again(path, tunes, text) if len(tunes) == 1 else ()
    return found + more


def known_heads(path: Path) -> list[Known]:
    """The heads of a file, each a text with a few measures."""
    found = []
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines()):
        head = json.loads(line)
        state, tune = _read(typed(head))
        group, name = f"heads {number % _FOLDS}", str(number + 1)
        if text := _of(state, tune, [{"title": head["title"] or ""}], group, name):
            found.append(text)
    return found


def _known(path: Path, tunes: list[dict[str, str]], group: str) -> Known | None:
    return _of(*_read(path), tunes, group, path.stem)


def _of(
    state: ReadingState | None,
    tune: stages.TuneSoFar | None,
    tunes: list[dict[str, str]],
    group: str,
    name: str,
) -> Known | None:
    right = tunes[0].get("title") or ""
    if state is None or tune is None or state.exercises:
        return None
    title = next((h.text for h in tune.headings if h.key == "title"), "")
    if plain_name(right).startswith(plain_name(title) + " ") and len(tunes) > 1:
        right = title  # what tells versions apart is added later
    return Known(group=group, name=name, taken=title, right=right, found=of_head(state))


def _again(path: Path, tunes: list[dict[str, str]], text: Known) -> Iterator[Known]:
    lines = path.read_bytes().decode("utf-8", "replace").splitlines()
    at = next((i for i, line in enumerate(lines) if text.taken in line), _FAR + 1)
    if at > _FAR or plain_name(text.taken) != plain_name(text.right):
        return
    with tempfile.TemporaryDirectory() as folder:
        for number in range(_AGAIN):
            random = Random(f"{text.group} {text.name} {number}")
            copy = Path(folder) / f"{path.stem}-{number}.txt"
            other_head = under_another_head(lines, at, text.taken, random)
            copy.write_text("\n".join(other_head) + "\n", encoding="utf-8")
            if other := _known(copy, tunes, text.group):
                other.again = True
                yield other


def _read(source: Path | str) -> tuple[ReadingState | None, stages.TuneSoFar | None]:
    """The state before the title is weighed, and the first tune, if its title is guessed."""
    seen: list[tuple[ReadingState, stages.TuneSoFar]] = []

    def look(state: ReadingState) -> None:
        tune = state.tunes[0]
        if tune.measures and (tune.title_guessed or tune.title is None):
            tune = stages.TuneSoFar(
                first_line=tune.first_line, headings=list(tune.headings), measures=tune.measures
            )
            seen.append((state, tune))

    old = stages.STAGES
    at = next(i for i, stage in enumerate(old) if stage.name == "title weighed")
    stages.STAGES = (*old[:at], stages.Stage("look", look), *old[at:])
    try:
        rollstave.read(source)
    except rollstave.TabError:
        return None, None
    finally:
        stages.STAGES = old
    return seen[0] if seen else (None, None)
