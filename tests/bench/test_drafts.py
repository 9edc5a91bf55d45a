"""Text that was not saved outlives the page and the server, and is never applied unasked."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from starlette.testclient import TestClient

from rollstave.bench.app import make_app
from rollstave.bench.document import Document
from rollstave.bench.drafts import Drafts, state_folder
from rollstave.bench.entrance import Entrance
from rollstave.bench.guard import TOKEN_HEADER

PORT = 4324
HOME = f"http://127.0.0.1:{PORT}"
TAB = "Title: Ferry\n\nD|-0-1-|\nB|-----|\nG|-----|\nD|-----|\ng|-----|\n"
MINE = TAB.replace("Ferry", "My Ferry")


class Asked:
    """A client that was let in to a run of the bench."""

    def __init__(self, client: TestClient, token: str) -> None:
        self.client = client
        self.headers = {"Origin": HOME, TOKEN_HEADER: token}

    def post(self, where: str, **data: Any) -> Any:
        return self.client.post(where, json=data, headers=self.headers)

    def drafts(self) -> list[Any]:
        found = self.post("/drafts").json()["drafts"]
        assert isinstance(found, list)
        return found

    def document(self) -> Any:
        return self.client.get("/document").json()


@contextmanager
def a_run(path: Path) -> Iterator[Asked]:
    """The server for a file, from its start to its end."""
    entrance = Entrance()
    app = make_app(Document(path), PORT, entrance)
    with TestClient(app, base_url=HOME, cookies=dict([entrance.cookie])) as client:
        yield Asked(client, entrance.token)


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    found = tmp_path / "ferry.txt"
    found.write_text(TAB)
    return found


def keep(run: Asked, text: str = MINE, page: str | None = None, turn: int = 1) -> str:
    page = page or str(uuid4())
    seen = run.document()["seen"]
    assert run.post("/draft/keep", page=page, turn=turn, text=text, seen=seen).status_code == 200
    return page


def test_a_draft_is_offered_by_the_next_run_and_not_applied(path: Path) -> None:
    with a_run(path) as run:
        page = keep(run)
    with a_run(path) as run:
        (draft,) = run.drafts()
        assert (draft["text"], draft["page"], draft["stale"]) == (MINE, page, False)
        assert run.document()["text"] == TAB
    assert path.read_text() == TAB


def test_a_draft_says_that_the_file_changed(path: Path) -> None:
    with a_run(path) as run:
        keep(run)
    path.write_text("theirs\n")
    with a_run(path) as run:
        assert run.drafts()[0]["stale"] is True
    path.write_text(TAB)
    with a_run(path) as run:
        assert run.drafts()[0]["stale"] is False


def test_a_draft_of_what_the_file_says_is_none(path: Path) -> None:
    with a_run(path) as run:
        keep(run)
        path.write_text(MINE)
        assert run.drafts() == []


def test_saving_removes_the_pages_own_draft(path: Path) -> None:
    with a_run(path) as run:
        page, other = keep(run), keep(run, "another window's\n")
        seen = run.document()["seen"]
        asked = {"text": MINE, "seen": seen, "utf8": False, "page": page}
        assert run.post("/save", **asked, turn=3).status_code == 200
        assert [d["page"] for d in run.drafts()] == [other]
        # What was sent before the save and arrives after it does not bring the draft back.
        late = run.post("/draft/keep", page=page, turn=2, text="late\n", seen=seen)
        assert late.status_code == 200
        assert [d["page"] for d in run.drafts()] == [other]


def test_a_save_that_fails_keeps_the_draft(path: Path) -> None:
    with a_run(path) as run:
        page = keep(run)
        path.write_text("theirs\n")
        asked = {"text": MINE, "seen": "other", "utf8": False, "page": page, "turn": 2}
        assert run.post("/save", **asked).status_code == 409
        assert [d["text"] for d in run.drafts()] == [MINE]


def test_dropping(path: Path) -> None:
    with a_run(path) as run:
        first, second = keep(run, "first\n"), keep(run, "second\n")
        assert [d["page"] for d in run.drafts()] == [second, first]
        assert run.post("/draft/remove", page=second).status_code == 200
        assert run.post("/draft/drop", page=first, turn=2).status_code == 200
        assert run.drafts() == []
        assert run.post("/draft/remove", page=second).status_code == 200
    assert list((state_folder() / "drafts").iterdir()) == []


@pytest.mark.skipif(os.name == "nt", reason="permissions of POSIX")
def test_only_the_owner_reads_drafts(path: Path) -> None:
    before = os.umask(0)
    try:
        with a_run(path) as run:
            keep(run)
    finally:
        os.umask(before)
    files = [p for p in state_folder().rglob("*") if p.is_file()]
    assert [stat.S_IMODE(p.stat().st_mode) for p in files] == [0o600]
    assert stat.S_IMODE((state_folder() / "drafts").stat().st_mode) == 0o700
    assert sorted(p.name for p in path.parent.iterdir()) == ["ferry.txt", "state"]


@pytest.mark.skipif(os.name == "nt", reason="file names of POSIX are bytes")
def test_drafts_go_by_the_bytes_of_the_path(path: Path) -> None:
    """A name that is no text at all is put on the bench too; a link leads to the tab's drafts."""
    names = [b"f\xfe.txt", b"f\xff.txt", "fähre.txt".encode(), "fa\u0308hre.txt".encode()]
    paths = [path.parent / os.fsdecode(name) for name in names]
    for number, each in enumerate(paths):
        each.write_text(TAB)
        with a_run(each) as run:
            assert run.client.get("/").status_code == 200
            made = run.post("/preview", page=str(uuid4()), text=TAB)
            assert made.status_code == 200
            assert run.drafts() == []
            keep(run, f"draft {number}\n")
    for number, each in enumerate(paths):
        link = path.parent / f"link-{number}"
        link.symlink_to(each)
        with a_run(link) as run:
            assert [d["text"] for d in run.drafts()] == [f"draft {number}\n"]


def test_a_full_disk_keeps_the_draft_of_before(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with a_run(path) as run:
        page = keep(run)

        def full(_: int) -> None:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        with monkeypatch.context() as patched:
            patched.setattr(os, "fsync", full)
            asked = {"page": page, "turn": 2, "text": "newer\n", "seen": ""}
            answer = run.post("/draft/keep", **asked)
        assert (answer.status_code, answer.json()["error"]) == (507, "the disk is full")
        assert [d["text"] for d in run.drafts()] == [MINE]
    assert [p.suffix for p in Drafts(path).folder.iterdir()] == [".json"]


def test_what_is_no_draft_is_left_alone(path: Path) -> None:
    with a_run(path) as run:
        keep(run)
        odd = Drafts(path).folder / f"{uuid4()}.json"
        for data in (b"", b"[" * 100_000, b"{}", b"\xff", b'{"page": "../../x"}'):
            odd.write_bytes(data)
            assert [d["text"] for d in run.drafts()] == [MINE]
        assert odd.exists()


def test_a_text_of_any_length_that_can_be_sent_is_kept(path: Path) -> None:
    long = "a" * 1_500_000
    with a_run(path) as run:
        keep(run, long)
        assert run.drafts()[0]["text"] == long


def test_a_tab_on_a_disk_that_is_full(path: Path, tmp_path: Path) -> None:
    """A real file system of 100 kB, where one may be mounted; the draft lies on another."""
    small = tmp_path / "small"
    small.mkdir()
    mounting = ["mount", "-t", "tmpfs", "-o", "size=100k", "tmpfs", str(small)]
    try:
        mounted = subprocess.run(mounting, capture_output=True, check=False).returncode == 0
    except OSError:
        mounted = False
    if not mounted:
        pytest.skip("no file system can be mounted here")
    try:
        tab = small / "ferry.txt"
        tab.write_text(TAB)
        long = MINE * 4000
        with a_run(tab) as run:
            page = keep(run, long)
            asked = {"seen": run.document()["seen"], "utf8": False, "page": page}
            full = run.post("/save", text=long, turn=2, **asked)
            assert (full.status_code, full.json()["error"]) == (507, "the disk is full")
            assert tab.read_text() == TAB
            assert [p.name for p in small.iterdir()] == ["ferry.txt"]
            assert [d["text"] for d in run.drafts()] == [long]
            assert run.post("/save", text=MINE, turn=3, **asked).status_code == 200
            subprocess.run(["mount", "-o", "remount,ro", str(small)], check=True)
            asked["seen"] = run.document()["seen"]
            protected = run.post("/save", text=TAB, turn=4, **asked)
            words = "the disk can only be read, not written"
            assert (protected.status_code, protected.json()["error"]) == (403, words)
            assert tab.read_text() == MINE
    finally:
        subprocess.run(["umount", str(small)], check=True)
