"""Lines with their features and their true labels, from the grammar of typists."""

from __future__ import annotations

from dataclasses import dataclass
from multiprocessing import Pool

from tests.benchmarks.grammar.document import document

from rollstave.problems import ProblemList
from rollstave.reading.labelling.chains import chains_of
from rollstave.reading.page.decode import decode
from rollstave.reading.reader import prepare


@dataclass
class Labelled:
    """A line of a chain: its number, its features, whether it stands apart, its true label."""

    number: int
    features: list[str]
    apart: bool
    known: str
    label: str


def chains_of_document(part: str, seed: int, index: int) -> list[list[Labelled]]:
    """The chains of a document of the grammar."""
    made = document(part, seed, index)
    state = prepare(decode(made.data), ProblemList())
    found = []
    for chain in chains_of(state):
        labelled = []
        for at, step in chain:
            number = state.lines[at].number
            label = made.lines[number - 1].label if number <= len(made.lines) else "blank"
            labelled.append(
                Labelled(
                    number=number,
                    features=list(step.features),
                    apart=step.apart,
                    known=step.known,
                    label=step.known or label,
                )
            )
        found.append(labelled)
    return found


def _one(arguments: tuple[str, int, int]) -> list[list[Labelled]]:
    return chains_of_document(*arguments)


def material(part: str, seed: int, count: int, processes: int = 2) -> list[list[Labelled]]:
    """The chains of many documents."""
    with Pool(processes) as pool:
        found = pool.map(_one, [(part, seed, index) for index in range(count)], chunksize=8)
    return [chain for chains in found for chain in chains]
