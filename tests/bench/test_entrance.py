"""Who gets in to the bench: the window that the command opened, once, and nobody else.

Sources: RFC 6265bis (cookies) and the Fetch standard (Origin), from memory.
"""

from __future__ import annotations

import os
import re
import stat
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
from starlette.testclient import TestClient

from rollstave.bench.app import make_app
from rollstave.bench.document import Document
from rollstave.bench.entrance import Entrance
from rollstave.bench.guard import HEADERS
from tests.bench.asking import ASKING
from tests.bench.entering import let_in, opener

PORT = 4322
HOME = f"http://127.0.0.1:{PORT}"
GETS = ("/", "/document", "/events", "/static/main.js", "/static/bench.css", "/nothing")
POSTS = ("/preview", "/save", "/drafts", "/draft/keep", "/draft/remove", "/difference")


@pytest.fixture
def entrance() -> Entrance:
    return Entrance()


@pytest.fixture
def outside(entrance: Entrance, tmp_path: Path) -> Iterator[TestClient]:
    """A client that was not let in."""
    path = tmp_path / "lanterns.txt"
    path.write_text(ASKING)
    with TestClient(make_app(Document(path), PORT, entrance), base_url=HOME) as client:
        yield client


def give(client: TestClient, key: str, **headers: str) -> httpx.Response:
    return client.post("/enter", data={"key": key}, headers={"Origin": "null", **headers})


@pytest.mark.parametrize("where", GETS)
@pytest.mark.parametrize("accept", ["text/html", "*/*"])
def test_without_the_cookie_nothing_is_shown(
    outside: TestClient, entrance: Entrance, where: str, accept: str
) -> None:
    answer = outside.get(where, headers={"Accept": accept})
    assert answer.status_code == 403
    for secret in (entrance.key, entrance.token, entrance.cookie[1], "lanterns", "Ferryman"):
        assert secret not in answer.text
    assert "set-cookie" not in answer.headers
    assert "run the command again" in answer.text


@pytest.mark.parametrize("where", POSTS)
def test_without_the_cookie_nothing_is_done(
    outside: TestClient, entrance: Entrance, tmp_path: Path, where: str
) -> None:
    """Even with the token, which only the page has."""
    headers = {"Origin": HOME, "X-Bench-Token": entrance.token}
    assert outside.post(where, json={"text": "evil"}, headers=headers).status_code == 403
    name, _ = entrance.cookie
    for value in ("", "another", entrance.cookie[1][:-1], Entrance().cookie[1]):
        wrong = headers | {"Cookie": f"{name}={value}"}
        assert outside.post(where, json={"text": "evil"}, headers=wrong).status_code == 403
    other = headers | {"Cookie": f"another={entrance.cookie[1]}"}
    assert outside.post(where, json={"text": "evil"}, headers=other).status_code == 403
    assert (tmp_path / "lanterns.txt").read_text() == ASKING


def test_the_key_opens_once(outside: TestClient, entrance: Entrance) -> None:
    first = give(outside, entrance.key)
    assert first.status_code == 200
    assert outside.get("/").status_code == 200
    assert "Ferryman" in outside.get("/document").text
    outside.cookies.clear()
    again = give(outside, entrance.key)
    assert again.status_code == 403
    assert "used already" in again.text
    assert "set-cookie" not in again.headers
    assert outside.get("/").status_code == 403


def test_the_cookie_is_this_benchs_alone(outside: TestClient, entrance: Entrance) -> None:
    words = give(outside, entrance.key).headers["set-cookie"]
    parts = {part.strip().lower().partition("=")[0] for part in words.split(";")[1:]}
    assert parts == {"httponly", "samesite", "path"}, "a session cookie, which no script reads"
    assert "samesite=strict" in words.lower()
    names = {Entrance().cookie[0] for _ in range(5)} | {entrance.cookie[0]}
    assert len(names) == 6
    assert not {entrance.key, entrance.token} & {entrance.cookie[1]}


@pytest.mark.parametrize("key", ["", "x", "\ud800", "ü" * 43, "a" * 900, "k;y=&key="])
def test_a_wrong_key_is_told_so(outside: TestClient, entrance: Entrance, key: str) -> None:
    body = b"key=" + key.encode("utf-8", "surrogatepass")
    form = {"Content-Type": "application/x-www-form-urlencoded", "Origin": "null"}
    answer = outside.post("/enter", content=body, headers=form)
    assert answer.status_code in (403, 413)
    if answer.status_code == 403:
        assert "not the key of this bench" in answer.text
    assert give(outside, entrance.key).status_code == 200, "a wrong key uses nothing up"


def test_what_is_no_key_at_all(outside: TestClient, entrance: Entrance) -> None:
    assert give(outside, "k" * 2000).status_code == 413
    assert give(outside, entrance.key, Origin="http://elsewhere.example").status_code == 403
    assert give(outside, entrance.key, Host=f"elsewhere.example:{PORT}").status_code == 421
    json = outside.post("/enter", json={"key": entrance.key}, headers={"Origin": "null"})
    assert json.status_code == 415
    assert outside.get("/enter", params={"key": entrance.key}).status_code == 403
    many = b"&".join(b"key=%d" % n for n in range(100))
    form = {"Content-Type": "application/x-www-form-urlencoded", "Origin": "null"}
    assert outside.post("/enter", content=many, headers=form).status_code == 403
    assert not entrance.used


def test_the_refusal_is_locked_up_and_has_no_script(outside: TestClient) -> None:
    answer = outside.get("/", headers={"Accept": "text/html"})
    for name in HEADERS.keys() - {"Content-Security-Policy"}:
        assert answer.headers[name] == HEADERS[name]
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "script" not in policy
    assert "<script" not in answer.text


@pytest.mark.skipif(os.name == "nt", reason="permissions of POSIX")
def test_the_key_lies_where_only_its_owner_reads_it(entrance: Entrance) -> None:
    before = os.umask(0)  # the most careless that a user can be
    try:
        file = entrance.write_file(PORT)
    finally:
        os.umask(before)
    assert entrance.key in file.read_text()
    assert entrance.key not in str(file)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700
    assert entrance.exchange(entrance.key)
    assert not file.parent.exists()


@pytest.mark.skipif(os.name == "nt", reason="a browser of two lines of shell")
def test_the_browsers_command_line_has_no_key(tmp_path: Path) -> None:
    path, seen = tmp_path / "tune.txt", tmp_path / "seen"
    path.write_text(ASKING)
    browser = tmp_path / "browser"
    browser.write_text(f'#!/bin/sh\nprintf "%s\\n" "$@" > {seen}.part\nmv {seen}.part {seen}\n')
    browser.chmod(0o755)
    program = subprocess.Popen(
        [sys.executable, "-m", "rollstave", "bench", str(path)],
        stdout=subprocess.PIPE,
        text=True,
        env=os.environ | {"BROWSER": str(browser)},
    )
    try:
        assert program.stdout is not None
        said = program.stdout.readline()
        address = re.search(r"http://127\.0\.0\.1:\d+/", said)
        assert address
        until = time.monotonic() + 20
        while not seen.exists() and time.monotonic() < until:
            time.sleep(0.05)
        (opened,) = seen.read_text().split()
        file = Path(opened.removeprefix("file://"))
        key = re.search(r'value="([^"]+)"', file.read_text())
        assert key
        assert key[1] not in opened
        with httpx.Client() as client:
            assert let_in(client, address[0], file).status_code == 200
            assert client.get(address[0]).status_code == 200
        assert httpx.get(address[0]).status_code == 403
    finally:
        program.terminate()
        rest, _ = program.communicate(timeout=20)
    assert key[1] not in said + rest, "what is said may go to a file that others read"
    assert not file.parent.exists()


@pytest.mark.skipif(os.name == "nt", reason="terminals of POSIX")
def test_a_terminal_shows_the_key(tmp_path: Path) -> None:
    """It is the user's own; a browser that may not read the file gets in with it."""
    path = tmp_path / "tune.txt"
    path.write_text(ASKING)
    ours, theirs = os.openpty()
    program = subprocess.Popen(
        [sys.executable, "-m", "rollstave", "bench", str(path), "--no-browser"], stdout=theirs
    )
    try:
        os.close(theirs)
        said = ""
        while "works once: " not in said or not said.endswith("\n"):
            said += os.read(ours, 4096).decode()
        key = said.strip().rpartition("once: ")[2]
        file = next(opener(line) for line in said.splitlines() if "this file" in line)
        assert f'value="{key}"' in file.read_text()
    finally:
        program.terminate()
        program.wait(20)
        os.close(ours)
