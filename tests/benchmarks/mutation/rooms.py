"""The rooms of the house, and the tests that look at each: those beside it, then those further off.

Tests in a browser, of whole archives and of speed are left out: a fault is to be found by quick
tests. So ``archive/`` and ``workers/``, whose tests start processes, are no rooms here.
"""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct

_CODE = "convert/rollstave/"

_TEXT = (
    "tests/writing/test_text_columns.py",
    "tests/writing/test_text.py",
    "tests/writing/test_text_lengths.py",
    "tests/writing/test_text_manners.py",
    "tests/test_found_by_attack.py",
)
_SHEET = (
    "tests/writing/test_on_the_sheet.py",
    "tests/writing/test_sheet.py",
    "tests/writing/test_foot.py",
    "tests/writing/test_graces.py",
    "tests/writing/test_paper.py",
    "tests/writing/test_sheet_geometry.py",
    "tests/writing/test_spacing.py",
    "tests/writing/test_pictures.py",
    "tests/writing/test_sheet_looks.py",
    "tests/writing/test_sheet_crowded.py",
    "tests/writing/test_editor_marks.py",
    "tests/writing/test_glyphs.py",
    "tests/writing/test_red_pen.py",
    "tests/writing/test_taking_ids.py",
)
_EXCHANGE = (
    "tests/writing/test_heard_outside.py",
    "tests/writing/test_musicxml.py",
    "tests/writing/test_jumps_back.py",
    "tests/writing/test_changing.py",
    "tests/writing/test_chord_places.py",
    "tests/writing/test_musicxml_page.py",
    "tests/writing/test_voices.py",
)
_SOUND = ("tests/writing/test_heard_midi.py", "tests/writing/test_midi.py")
_PAGE = ("tests/writing/page/test_told.py", "tests/writing/page/test_data.py")
_OUT = (*_TEXT, *_EXCHANGE, *_SOUND, *_SHEET[:3], *_PAGE)
# What looks at every room; for a fault in a class or a table.
EVERYWHERE = ("tests/contract/test_defaults.py",)
_LINES = (
    "tests/cli/test_convert.py",
    "tests/cli/test_tidy.py",
    "tests/cli/test_shapes_and_book.py",
    "tests/cli/test_compare.py",
    "tests/cli/test_edited.py",
    "tests/cli/test_tidy_in_place.py",
    "tests/cli/test_writing_over.py",
)
_TABLES = (
    "tests/vocabulary/test_headings.py",
    "tests/vocabulary/test_sayings.py",
    "tests/vocabulary/test_techniques.py",
)


class Room(Struct, frozen=True):
    """A part of the code, and the tests that look at it."""

    name: str
    folders: tuple[str, ...]
    near: tuple[str, ...]
    far: tuple[str, ...] = ()

    def modules(self, root: Path) -> list[str]:
        """Its modules, from the top of the tree: those of a folder and of the folders in it, but
        not those of a room in a room."""
        inner = {f for room in ROOMS if room is not self for f in room.folders}
        found = []
        for folder in self.folders:
            start = root / folder
            paths = [start] if start.is_file() else sorted(start.rglob("*.py"))
            for path in paths:
                name = path.relative_to(root).as_posix()
                within = [f for f in inner if f.startswith(folder) and f != folder]
                if not any(name == f or name.startswith(f + "/") for f in within):
                    found.append(name)
        return found


def _code(*names: str) -> tuple[str, ...]:
    return tuple(_CODE + name for name in names)


ROOMS = (
    Room(
        "pitch",
        _code("pitch.py", "problems.py", "grid", "vocabulary"),
        (
            *("tests/test_problem_codes.py", "tests/instruments", *_TABLES),
            "tests/deciding/test_spelling.py",
        ),
        ("tests/reading", *_OUT),
    ),
    Room(
        "instruments",
        _code("instruments"),
        ("tests/instruments",),
        ("tests/reading/test_headings.py", "tests/plugins/test_fretted.py", *_OUT),
    ),
    Room("reading", _code("reading"), ("tests/reading",), _OUT),
    Room(
        "rhythm",
        _code("rhythm"),
        (
            *("tests/rhythm", "tests/benchmarks/rhythm/test_benchmark.py"),
            "tests/benchmarks/rhythm/test_people.py",
        ),
        ("tests/reading", *_TEXT, *_EXCHANGE),
    ),
    Room("score", _code("score"), ("tests/score", *_TEXT, "tests/notating"), (*_OUT, *_LINES)),
    Room(
        "deciding",
        _code("deciding"),
        ("tests/deciding",),
        ("tests/reading", "tests/cli/test_shapes_and_book.py", *_OUT, *_SHEET),
    ),
    Room("notating", _code("notating"), ("tests/notating",), (*_EXCHANGE, *_OUT)),
    Room(
        "musicxml_in",
        _code("musicxml_in"),
        ("tests/musicxml_in",),
        ("tests/deciding/test_chord_kinds.py", "tests/cli/test_compare.py", *_EXCHANGE),
    ),
    Room("musicxml", _code("writing/musicxml"), _EXCHANGE, ("tests/musicxml_in",)),
    Room(
        "mei",
        _code(
            "writing/mei.py",
            "writing/mei_measures.py",
            "writing/mei_notes.py",
            "writing/mei_under.py",
        ),
        (
            *("tests/writing/test_told_in_mei.py", "tests/writing/test_mei.py"),
            "tests/reading/test_strokes.py",
            *("tests/writing/test_changing.py", "tests/plugins/test_beside.py", *_SHEET),
        ),
    ),
    Room("midi", _code("writing/midi.py"), _SOUND),
    Room(
        "sheet",
        _code("writing/sheet"),
        _SHEET,
        ("tests/cli/test_shapes_and_book.py", "tests/plugins/test_beside.py", "tests/vocabulary"),
    ),
    Room("page", _code("writing/page"), _PAGE),
    Room("text", _code("writing/text"), _TEXT, ("tests/cli/test_tidy.py",)),
    Room(
        "writing",
        _code("writing"),
        (
            *("tests/writing/test_paper.py", "tests/writing/test_places.py"),
            *("tests/writing/test_book_order.py", "tests/writing/test_handout.py"),
            *("tests/writing/test_handout_placing.py", "tests/writing/test_proofs.py"),
            *_SHEET[:3],
        ),
        ("tests/writing/test_mei.py", "tests/writing/test_pdf_safety.py", *_EXCHANGE, *_LINES),
    ),
    Room(
        "proofreading",
        _code("proofreading"),
        ("tests/proofreading/test_borders.py", "tests/proofreading"),
    ),
    Room(
        "cli",
        _code("cli", "api.py"),
        _LINES,
        (
            *("tests/proofreading", "tests/contract", "tests/test_promises.py"),
            *("tests/archive/test_whose_is_it.py", "tests/archive/test_archive.py"),
        ),
    ),
    Room(
        "joints",
        _code("assembly", "outputs", "reporting", "packaged.py", "patterns.py"),
        (*_LINES, "tests/test_patterns.py", "tests/test_promises.py"),
        ("tests/contract", "tests/archive/test_whose_is_it.py", *_OUT),
    ),
    Room(
        "bench",
        _code("bench"),
        (
            *("tests/bench/test_document.py", "tests/bench/test_requests.py"),
            "tests/bench/test_system_text.py",
            *("tests/bench/test_decide.py", "tests/bench/test_server.py"),
            *("tests/bench/test_drafts.py", "tests/bench/test_entrance.py"),
        ),
    ),
    Room("contract", _code("contract"), ("tests/contract",), ("tests/plugins/test_fretted.py",)),
    Room(
        "figures",
        _code("figures"),
        ("tests/plugins/test_figures.py", "tests/plugins/test_accessible.py"),
        ("tests/plugins/test_markdown.py", "tests/plugins/test_notebook.py"),
    ),
    Room("plugins", ("plugins",), ("tests/plugins",)),
)
