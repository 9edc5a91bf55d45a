"""Fixtures: every sample and every hand-built score, each read and written once a session."""

from __future__ import annotations

import gc
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import hypothesis
import pytest

from tests import amount, sheets, tunes

# The same examples in every run, so that a red run can be repeated.
hypothesis.settings.register_profile("steady", derandomize=True, deadline=None)
hypothesis.settings.load_profile("steady")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--thorough",
        action="store_true",
        help="all examples of the tests that usually take some (tests/amount.py)",
    )


# What ``-m quick`` leaves out, by folder, file or test: a build of another program, a corpus,
# paper, sheets engraved in every look, a reader that takes seconds to import, or properties with
# many examples. Modules that have one of these words start processes,
# threads or a browser, and are left out, too.
STARTERS = ("import subprocess", "import threading", "playwright")
NOT_QUICK = (
    "archive", "bench/test_command.py", "bench/test_decide.py", "bench/test_page.py",
    "bench/test_server.py", "bench/test_system_text.py", "benchmarks",
    "cli/test_convert.py::test_pages_are_numbered",
    "cli/test_convert.py::test_samples_convert_without_a_warning", "cli/test_processes.py",
    "cli/test_shapes_and_book.py", "cli/test_tidy.py::test_a_tidied_sample_is_tidy",
    "cli/test_tidy.py::test_samples_can_be_tidied", "contract/test_guide.py",
    "contract/test_manager.py", "deciding/test_chord_kinds.py::test_it_goes_to_musicxml_and_back",
    "deciding/test_leaving_fingers.py::"
    "test_fingers_that_leave_are_hollow_dots_and_nothing_else_is",
    "deciding/test_naming.py", "deciding/test_spelling.py",
    "deciding/test_shape_names.py::"
    "test_a_shape_is_named_after_the_chord_that_it_makes_low_on_the_neck",
    "musicxml_in/test_edits.py", "musicxml_in/test_losses.py", "musicxml_in/test_musicxml_in.py",
    "musicxml_in/test_parse.py", "musicxml_in/test_repeats_generated.py",
    "musicxml_in/test_rests.py", "musicxml_in/test_staves.py", "musicxml_in/test_voices.py",
    "notating/test_long_notes.py::test_a_very_long_note_is_divided_to_its_end", "plugins",
    "reading/test_exercises.py::test_musicxml_has_them_at_their_systems",
    "reading/test_exercises.py::test_the_page_plays_each_by_its_name",
    "reading/test_limits.py", "reading/test_nothing_lost.py", "rhythm/test_corpus.py",
    "reading/test_section_names.py::test_a_name_is_written_and_read_again",
    "reading/test_wild_habits_2.py::test_no_pattern_takes_long_over_a_long_line",
    "test_attack.py", "workers",
    "vocabulary/test_techniques.py::test_the_sheet_shows_both",
    "vocabulary/test_techniques.py::test_two_on_one_note",
    "vocabulary/test_worked_example.py",
    "writing/page", "writing/test_handout.py",
    "writing/test_changing.py",
    "writing/test_editor_marks.py",
    "writing/test_graces.py::test_music21_and_partitura_find_them",
    "writing/test_heard_midi.py::test_generated_tunes_sound_as_written",
    "writing/test_expanded_outside.py", "writing/test_growth.py", "writing/test_heard_outside.py",
    "writing/test_jumps_back.py",
    "writing/test_musicxml.py",
    "writing/test_paper.py", "writing/test_pictures.py", "writing/test_places.py",
    "writing/test_sheet_crowded.py", "writing/test_sheet_geometry.py",
    "writing/test_sheet_looks.py", "writing/test_spacing.py",
    "writing/test_pdf_safety.py",
    "writing/test_proofs.py::test_no_word_is_smaller_than_seven_points",
    "writing/test_rendered_outside.py", "writing/test_second_proofs.py",
    "writing/test_text.py", "writing/test_text_lengths.py",
    "writing/test_voices.py",
)  # fmt: skip
QUICK_ALL_THE_SAME = (
    "benchmarks/rhythm/test_people.py", "plugins/test_markdown.py",
)  # fmt: skip


@cache
def _starts_something(path: Path) -> bool:
    return any(word in path.read_text("utf-8") for word in STARTERS)


def _is_quick(path: Path, name: str = "") -> bool:
    if path.suffix == ".py" and _starts_something(path):
        return False
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


def pytest_collection_finish() -> None:
    gc.freeze()


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """With ``-m quick`` modules that have nothing quick are not even imported."""
    wanted = config.getoption("markexpr") == "quick" and collection_path.suffix == ".py"
    return True if wanted and not _is_quick(collection_path) else None


def pytest_configure(config: pytest.Config) -> None:
    # Tests, their modules and what they share stay to the end: Python need not look at them often.
    gc.set_threshold(20_000, 20, 20)
    amount.thorough = config.getoption("--thorough")
    if not hasattr(config, "workerinput"):  # what pytest-xdist gives to its workers
        _share(config, Path(tempfile.mkdtemp(prefix="rollstave-tests-")))
    if hasattr(config.option, "loadscopereorder"):
        config.option.loadscopereorder = False  # pytest-xdist would put files of many tests first


def _share(config: pytest.Config, folder: Path) -> None:
    """Give the processes of a session a folder in which they keep what all of them need: sheets.
    Where Python may not write beside the sources, modules that were compiled are kept with what
    pytest keeps for its next session: to compile all of them takes longer than to collect tests."""
    config.add_cleanup(lambda: shutil.rmtree(folder, ignore_errors=True))
    os.environ[sheets.STORE] = str(folder)
    if os.environ.pop("PYTHONDONTWRITEBYTECODE", ""):
        cache = getattr(config, "cache", None)
        kept = cache.mkdir("compiled") if cache is not None else folder / "compiled"
        os.environ["PYTHONPYCACHEPREFIX"] = str(kept)
        # For this process, too: it collects tests where there are no others.
        sys.dont_write_bytecode, sys.pycache_prefix = False, str(kept)


@pytest.fixture(scope="session", params=sorted(tunes.CASES))
def name(request: pytest.FixtureRequest) -> str:
    """The name of a case: each sample, the tune of every sign, each score built by hand."""
    return str(request.param)


@pytest.fixture(scope="session", params=[path.stem for path in tunes.SAMPLES])
def sample_name(request: pytest.FixtureRequest) -> str:
    """The name of a sample."""
    return str(request.param)
