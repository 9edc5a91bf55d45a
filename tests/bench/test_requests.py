"""Requests that our own page would not send: each is refused in words, and the server lives on."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from rollstave.bench.app import make_app
from rollstave.bench.document import LARGEST, Document
from rollstave.bench.entrance import Entrance
from rollstave.bench.guard import LARGEST_BODY, TOKEN_HEADER
from tests.bench.asking import ASKING

PORT, ENTRANCE = 4323, Entrance()
HOME = f"http://127.0.0.1:{PORT}"
OURS = {"Origin": HOME, TOKEN_HEADER: ENTRANCE.token, "Content-Type": "application/json"}
PAGE = "5f0d9f8c-0000-4000-8000-00000000000a"
GOOD: dict[str, dict[str, Any]] = {
    "/preview": {"page": PAGE, "text": "Title: x\n"},
    "/items": {"text": ASKING},
    "/choices": {"text": ASKING, "tune": 0, "measure": 0},
    "/choose": {"text": ASKING, "tune": 0, "measure": 0, "onsets": ["0"], "durations": ["1/4"]},
    "/difference": {"text": "x"},
    "/save": {"text": "x", "seen": "other", "utf8": False, "page": PAGE, "turn": 1},
    "/draft/keep": {"text": "x", "seen": "", "page": PAGE, "turn": 1},
    "/draft/drop": {"page": PAGE, "turn": 1},
    "/draft/remove": {"page": PAGE},
}
DEEP = 20_000
BODIES = {
    "nested lists": b"[" * DEEP + b"]" * DEEP,
    "nested objects": b'{"text":' * DEEP + b"1" + b"}" * DEEP,
    "nested inside": b'{"text":' + b"[" * DEEP + b"]" * DEEP + b"}",
    "open brackets": b"[" * DEEP,
    "bad UTF-8": b'{"text": "\xff\xfe\xfa"}',
    "cut": b'{"text": "x',
    "empty": b"",
    "no object": b'"text"',
    "a number of many digits": b'{"text": ' + b"9" * 10_000 + b"}",
    "null": b"null",
    "NaN": b"NaN",
    "UTF-16": '{"text": 5}'.encode("utf-16"),
}
WRONG = (None, 5, -1, 10**30, 1.5, True, [], {}, [[]], "\ud800", "x\udfff", "../../x", "")


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    found = tmp_path_factory.mktemp("requests") / "tune.txt"
    found.write_text(ASKING)
    return found


@pytest.fixture(scope="module")
def client(path: Path) -> Iterator[TestClient]:
    app = make_app(Document(path), PORT, ENTRANCE)
    cookies = dict([ENTRANCE.cookie])
    with TestClient(app, base_url=HOME, cookies=cookies, raise_server_exceptions=False) as made:
        yield made


def refused(client: TestClient, where: str, body: bytes) -> str:
    """The words with which a body is refused."""
    answer = client.post(where, content=body, headers=OURS)
    assert 400 <= answer.status_code < 500, (answer.status_code, answer.text[:300])
    words = str(answer.json()["error"])
    assert " " in words
    assert "Error" not in words
    return words


@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES)
@pytest.mark.parametrize("where", GOOD)
def test_what_is_no_json_of_ours(client: TestClient, path: Path, where: str, body: bytes) -> None:
    refused(client, where, body)
    assert client.get("/document").status_code == 200
    assert path.read_text() == ASKING


def test_what_is_no_json_where_nothing_is_asked_for(client: TestClient) -> None:
    for name in ("nested lists", "open brackets", "bad UTF-8", "cut", "empty", "null", "NaN"):
        refused(client, "/drafts", BODIES[name])


@pytest.mark.parametrize("where", GOOD)
def test_fields_of_a_wrong_kind(client: TestClient, path: Path, where: str) -> None:
    for field, good in GOOD[where].items():
        refused(
            client, where, json.dumps({k: v for k, v in GOOD[where].items() if k != field}).encode()
        )
        for wrong in WRONG:
            if type(wrong) is type(good) and wrong not in (-1, 10**30, "\ud800", "x\udfff"):
                continue
            body = json.dumps(GOOD[where] | {field: wrong}).encode()
            refused(client, where, body)
    assert path.read_text() == ASKING


def test_half_a_character_is_told_with_its_line(client: TestClient) -> None:
    body = json.dumps(GOOD["/preview"] | {"text": "one\ntwo \ud83d\n"}).encode()
    assert "Line 2" in refused(client, "/preview", body)


@pytest.mark.parametrize(
    "times",
    [
        ["1e999999999"],
        ["1/0"],
        ["x"],
        [5],
        [None],
        [["0"]],
        ["0"] * 100_000,
        ["9" * 5000],
        ["0", "1"],
    ],
)
@pytest.mark.parametrize("field", ["onsets", "durations"])
def test_rhythms_that_are_none(client: TestClient, times: list[Any], field: str) -> None:
    """``1e999999999`` is a number that takes all of a machine's memory to write down."""
    refused(client, "/choose", json.dumps(GOOD["/choose"] | {field: times}).encode())


@pytest.mark.parametrize(
    "page", ["../../x", "/etc/passwd", "", PAGE.upper(), PAGE + "\n", f"{PAGE}/.."]
)
@pytest.mark.parametrize("where", ["/save", "/draft/keep", "/draft/drop", "/draft/remove"])
def test_a_pages_name_leads_nowhere(client: TestClient, where: str, page: str) -> None:
    refused(client, where, json.dumps(GOOD[where] | {"page": page}).encode())


@pytest.mark.parametrize("length", ["9" * 5000, "-5", "1_000", "٣", "0x5", str(LARGEST_BODY + 1)])
def test_lengths_that_are_none(client: TestClient, length: str) -> None:
    headers = {k.encode(): v.encode() for k, v in (OURS | {"Content-Length": length}).items()}
    answer = client.post("/save", content=b"{}", headers=list(headers.items()))  # type: ignore[arg-type]
    assert answer.status_code == 413


def test_every_text_that_is_loaded_can_be_sent_back(client: TestClient) -> None:
    """The largest, of characters that take most room in JSON."""
    text = ("\x1f" + "-" * 60) * (LARGEST // 61)
    worst = json.dumps({"text": "\x1f" * LARGEST}).encode()
    assert len(worst) < LARGEST_BODY
    body = json.dumps({"text": text}).encode()
    assert client.post("/difference", content=body, headers=OURS).status_code == 200
