"""The hook for documents: bytes in, text out, with the place of each line."""

from __future__ import annotations

from pathlib import Path

import pytest

import rollstave
from rollstave.assembly import documents
from rollstave.contract.manager import Contract
from tests.contract.test_manager import TAB, Folder, folder, use

__all__ = ["folder"]

READER = """
import rollstave
rollstave_contract = "1.1"

@rollstave.hookimpl
def rollstave_documents():
    return [
        rollstave.DocumentReader(
            name="drawer",
            endings=(".drawer",),
            recognise=lambda data: data.startswith(b"DRAWER"),
            read=read,
            noun="drawer",
            needs=NEEDS,
            install="drawers",
        )
    ]

NEEDS = ()

def read(data):
    text = data.partition(b"\\n")[2].decode()
    count = text.count("\\n") + 1
    return rollstave.DocumentText(text, tuple(f"sheet {n}" for n in range(1, count + 1)))
"""
SHUT = TAB.replace("g|-----", "g|--3--")


def made(folder: Folder, monkeypatch: pytest.MonkeyPatch, text: str = READER) -> Contract:
    contract = folder.contract(drawer=text)
    use(contract, monkeypatch)
    return contract


def test_its_text_is_read_and_problems_say_where(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    made(folder, monkeypatch)
    (tune,) = rollstave.read(b"DRAWER\n" + TAB.encode())
    assert tune.score.title == "Ferry Bell"
    with pytest.raises(rollstave.TabError) as raised:
        rollstave.read(b"DRAWER\n" + SHUT.encode())
    problem = next(p for p in raised.value.problems if p.code == "fret")
    assert problem.place == rollstave.Place(10, 5, "sheet 10")
    assert problem.format("tune.drawer").startswith("tune.drawer:sheet 10:5: error: ")


def test_only_bytes_are_shown_to_it(folder: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    """A str is a text already."""
    made(folder, monkeypatch)
    (tune,) = rollstave.read("DRAWER\n\n" + TAB)
    assert tune.problems == () or all(p.place is None or not p.place.part for p in tune.problems)
    (tune,) = rollstave.read(TAB.encode())
    assert tune.score.title == "Ferry Bell"


def test_what_it_needs_is_told_before_it_is_called(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    made(folder, monkeypatch, READER.replace("NEEDS = ()", "NEEDS = ('no-such-package-here',)"))
    with pytest.raises(rollstave.TabError) as raised:
        rollstave.read(b"DRAWER\n" + TAB.encode())
    (problem,) = raised.value.problems
    assert problem.code == "document"
    assert problem.message == (
        "this is a drawer: to read it, pip install 'drawers' (it needs no-such-package-here)"
    )
    assert documents.endings()[".drawer"].startswith("pip install 'drawers'")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("text = data", "1 / 0; text = data", "ZeroDivisionError"),
        ("return rollstave.DocumentText(text, ", "return (text, ", "not a DocumentText"),
        ("return rollstave.DocumentText(text, ", "return []; (text, ", "not a DocumentText"),
    ],
)
def test_a_reader_that_fails_costs_the_file_and_is_named(
    folder: Folder, monkeypatch: pytest.MonkeyPatch, old: str, new: str, said: str
) -> None:
    contract = made(folder, monkeypatch, READER.replace(old, new))
    with pytest.raises(rollstave.TabError, match="this drawer cannot be read"):
        rollstave.read(b"DRAWER\n" + TAB.encode())
    assert any(said in fault.reason for fault in contract.faults)
    assert rollstave.read(TAB.encode())


def test_a_reader_that_cannot_even_look_is_left_out(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    wrong = READER.replace('data.startswith(b"DRAWER")', "data.nothing")
    contract = made(folder, monkeypatch, wrong)
    assert rollstave.read(TAB.encode())[0].score.title == "Ferry Bell"
    assert any("the reader 'drawer' failed" in fault.reason for fault in contract.faults)


def test_an_ending_is_a_dot_and_small_letters(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    contract = made(folder, monkeypatch, READER.replace('".drawer"', '"DRAWER"'))
    assert ".drawer" not in documents.endings()
    assert any("is no ending of 'drawer'" in fault.reason for fault in contract.faults)


SEVERAL = READER.replace(
    'return rollstave.DocumentText(text, tuple(f"sheet {n}" for n in range(1, count + 1)))',
    """return [
        rollstave.DocumentText(part, name=f"sheet {n}", number=n, error="torn" * (part == "!"))
        for n, part in enumerate(text.split("%"), start=1)
    ]""",
)


def test_several_texts_of_a_file(folder: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    """Those without tab are passed over; one that is wrong is named."""
    made(folder, monkeypatch, SEVERAL)
    assert len(rollstave.read(f"DRAWER\n{TAB}%no tab%{TAB}".encode())) == 2
    with pytest.raises(rollstave.TabError, match="sheet 2: torn"):
        rollstave.read(f"DRAWER\n{TAB}%!".encode())
    with pytest.raises(rollstave.TabError) as raised:
        rollstave.read(b"DRAWER\nnothing%nor here")
    assert {p.message.partition(":")[0] for p in raised.value.problems} == {"sheet 1", "sheet 2"}


def test_a_plugin_of_the_contract_before_still_works(
    folder: Folder, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """1.1 adds and takes nothing away."""
    from tests.contract.test_manager import GOOD

    assert 'rollstave_contract = "1.0"' in GOOD
    contract = folder.contract(good=GOOD)
    use(contract, monkeypatch)
    assert rollstave.write(rollstave.read(TAB)[0], "count")
    assert contract.faults == []


def test_the_reader_of_the_guide(folder: Folder, monkeypatch: pytest.MonkeyPatch) -> None:
    import re

    guide = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text("utf-8")
    found = re.search(r"<!-- reader of documents -->\n```python\n(.*?)```", guide, re.DOTALL)
    assert found is not None
    contract = made(folder, monkeypatch, found[1])
    with pytest.raises(rollstave.TabError) as raised:
        rollstave.read(b"DRAWER\n" + SHUT.encode())
    assert "sheet 10:5" in str(raised.value)
    assert contract.faults == []
