"""Fixtures: every sample and every hand-built score, each read and written once a session."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import hypothesis
import pytest

from tests import amount, tunes

# The same examples in every run, so that a red run can be repeated.
hypothesis.settings.register_profile("steady", derandomize=True, deadline=None)
hypothesis.settings.load_profile("steady")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--thorough",
        action="store_true",
        help="all examples of the tests that usually take some (tests/amount.py)",
    )


# What ``-m quick`` leaves out, by folder, file or test: a browser, a process, a build of another
# program, a corpus, a schema, paper, or properties with many examples.
NOT_QUICK = (
    "archive", "bench/test_command.py", "bench/test_decide.py", "bench/test_page.py",
    "bench/test_server.py", "benchmarks", "cli/test_processes.py", "contract/test_guide.py",
    "contract/test_manager.py", "deciding/test_naming.py", "deciding/test_spelling.py",
    "musicxml_in/test_musicxml_in.py", "musicxml_in/test_parse.py", "plugins",
    "reading/test_limits.py", "reading/test_nothing_lost.py", "rhythm/test_corpus.py",
    "test_attack.py", "workers",
    "writing/page", "writing/test_jumps_back.py", "writing/test_paper.py",
    "writing/test_sheet_geometry.py::test_no_lonely_system_on_the_last_page",
    "writing/test_sheet_geometry.py::test_question_marks_of_unsure_measures_touch_nothing",
    "writing/test_sheet_geometry.py::test_systems_have_four_measures_of_rolls_and_no_lonely_one",
    "writing/test_sheet_looks.py::test_a_book_is_the_same_with_any_number_of_workers",
    "writing/test_pdf_safety.py", "writing/test_rendered_outside.py",
    "writing/test_text_lengths.py",
)  # fmt: skip
QUICK_ALL_THE_SAME = (
    "benchmarks/rhythm/test_people.py", "plugins/test_figures.py", "plugins/test_markdown.py",
)  # fmt: skip


def _is_quick(path: Path, name: str = "") -> bool:
    place = path.relative_to(Path(__file__).parent)
    parts = {str(place), f"{place}::{name}", *map(str, place.parents)}
    return not parts & {*NOT_QUICK} or bool(parts & {*QUICK_ALL_THE_SAME})


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> Iterator[None]:
    """Mark what is quick, and put it last, so that two processes end together."""
    for item in items:
        if _is_quick(item.path, getattr(item, "originalname", item.name)):
            item.add_marker(pytest.mark.quick)
    yield
    items.sort(key=lambda item: item.get_closest_marker("quick") is not None)


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """With ``-m quick`` modules that have nothing quick are not even imported."""
    wanted = config.getoption("markexpr") == "quick" and collection_path.suffix == ".py"
    return True if wanted and not _is_quick(collection_path) else None


def pytest_configure(config: pytest.Config) -> None:
    amount.thorough = config.getoption("--thorough")
    if hasattr(config.option, "loadscopereorder"):
        config.option.loadscopereorder = False  # pytest-xdist would put files of many tests first


@pytest.fixture(scope="session", params=sorted(tunes.CASES))
def name(request: pytest.FixtureRequest) -> str:
    """The name of a case: each sample, the tune of every sign, each score built by hand."""
    return str(request.param)


@pytest.fixture(scope="session", params=[path.stem for path in tunes.SAMPLES])
def sample_name(request: pytest.FixtureRequest) -> str:
    """The name of a sample."""
    return str(request.param)
