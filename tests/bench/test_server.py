"""The bench's server: what it answers, and to whom. Nothing here needs a browser."""

from __future__ import annotations

import asyncio
import os
import signal
from collections.abc import Callable, Coroutine, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from starlette.applications import Starlette
from starlette.testclient import TestClient

from rollstave.bench.app import make_app
from rollstave.bench.document import Document
from rollstave.bench.engraver import WORDS, Engraver
from rollstave.bench.entrance import Entrance
from rollstave.bench.guard import HEADERS, LARGEST_BODY, TOKEN_HEADER
from rollstave.bench.preview import preview
from rollstave.bench.serve import open_socket
from rollstave.workers import WorkerLost
from tests.bench.asking import ASKING
from tests.bench.previews import HANG, slow_preview

PORT, ENTRANCE = 4321, Entrance()
TOKEN = ENTRANCE.token
HOME = f"http://127.0.0.1:{PORT}"
SAVE = {"utf8": False, "page": "5f0d9f8c-0000-4000-8000-00000000000b", "turn": 1}
PAGE = "5f0d9f8c-0000-4000-8000-00000000000a"
OURS = {"Origin": HOME, "Sec-Fetch-Site": "same-origin", TOKEN_HEADER: TOKEN}
POSTS = (
    *("/preview", "/items", "/choices", "/choose", "/difference", "/save"),
    *("/drafts", "/draft/keep", "/draft/drop", "/draft/remove"),
)


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("bench")
    (folder / "secret.txt").write_text("not for you")
    found = folder / "tune.txt"
    found.write_text(ASKING)
    return found


@pytest.fixture(scope="module")
def client(path: Path) -> Iterator[TestClient]:
    app = make_app(Document(path), PORT, ENTRANCE)
    with inside(app) as made:
        yield made


def inside(app: Starlette) -> TestClient:
    """A client that was let in."""
    cookies = dict([ENTRANCE.cookie])
    return TestClient(app, base_url=HOME, raise_server_exceptions=False, cookies=cookies)


def post(client: TestClient, where: str, headers: dict[str, str] | None = None, **data: Any) -> Any:
    return client.post(where, json=data, headers=OURS | (headers or {}))


# What it answers ------------------------------------------------------------------------------


def test_the_page_holds_its_token_and_no_script_of_its_own(client: TestClient) -> None:
    page = client.get("/").text
    assert f'content="{TOKEN}"' in page
    assert "<script>" not in page
    assert "style=" not in page
    assert "onclick" not in page


def test_a_file_name_cannot_become_markup(tmp_path: Path) -> None:
    odd = tmp_path / "<img src=x onerror=alert(1)>.txt"
    odd.write_text(ASKING)
    with inside(make_app(Document(odd), PORT, ENTRANCE)) as client:
        page = client.get("/").text
    assert "<img" not in page
    assert "&lt;img" in page


def test_preview_of_a_text(client: TestClient) -> None:
    made = post(client, "/preview", page="a", text=ASKING).json()
    (tune,) = made["tunes"]
    assert len(tune["measures"]) == 6
    assert tune["pages"][0].startswith("<svg")
    found = post(client, "/items", text=ASKING).json()
    assert {item["kind"] for item in found} >= {"unsure", "mend"}
    assert [i["line"] for i in found] == sorted(i["line"] for i in found)
    lines = ASKING.split("\n")
    for line, column, width in tune["notes"].values():
        assert lines[line - 1][column - 1 : column - 1 + width].isdigit()
    for name in tune["notes"]:
        assert f'id="{name}"' in tune["pages"][0]


def test_several_tunes_do_not_share_ids(client: TestClient) -> None:
    two = ASKING + "\n\n" + ASKING.replace("Unsure", "Second")
    made = post(client, "/preview", page="a", text=two).json()
    assert [t["title"] for t in made["tunes"]] == ["The Unsure Ferryman", "The Second Ferryman"]
    first, second = (set(t["notes"]) for t in made["tunes"])
    assert not first & second
    assert min(place[0] for place in made["tunes"][1]["notes"].values()) > len(ASKING.split("\n"))


def test_errors_come_with_their_places(client: TestClient) -> None:
    made = post(
        client, "/preview", page="a", text=ASKING.replace("---------0-|", "---------3-|", 1)
    )
    items = made.json()["items"]
    assert made.json()["tunes"] == []
    assert (items[0]["kind"], items[0]["line"], items[0]["column"]) == ("error", 9, 12)


def test_choices_are_engraved_and_one_is_written(client: TestClient) -> None:
    about = {"text": ASKING, "tune": 0, "measure": 1}
    found = post(client, "/choices", **about).json()
    assert len(found) >= 2
    assert all(choice["sheet"].startswith("<svg") for choice in found)
    last = found[-1]
    rhythm = {"onsets": last["onsets"], "durations": last["durations"]}
    made = post(client, "/choose", **about, **rhythm).json()
    again = post(client, "/choices", text=made["text"], tune=0, measure=1).json()
    assert again[0]["onsets"] == last["onsets"]


@pytest.mark.parametrize(
    "bad",
    [
        {"text": ASKING, "tune": 9, "measure": 0, "onsets": [], "durations": []},
        {"text": ASKING, "tune": 0, "measure": -1, "onsets": [], "durations": []},
        {"text": ASKING, "tune": 0, "measure": 0, "onsets": ["x"], "durations": ["1/0"]},
        {"text": 5, "tune": 0, "measure": 0, "onsets": [], "durations": []},
        {"text": ASKING},
    ],
)
def test_nonsense_is_answered_with_400(client: TestClient, bad: dict[str, Any]) -> None:
    assert post(client, "/choose", **bad).status_code == 400


def test_saving_and_the_conflict(client: TestClient, path: Path) -> None:
    before = client.get("/document").json()
    path.write_text("theirs\n")
    refused = post(client, "/save", text="mine\n", seen=before["seen"], **SAVE)
    assert refused.status_code == 409
    assert refused.json()["text"] == "theirs\n"
    assert path.read_text() == "theirs\n"
    shown = post(client, "/difference", text="mine\n").json()
    assert "-theirs" in shown["lines"]
    assert "+mine" in shown["lines"]
    done = post(client, "/save", text="mine\n", seen=refused.json()["seen"], **SAVE)
    assert done.status_code == 200
    assert path.read_text() == "mine\n"
    path.write_text(ASKING)


# Who may ask ----------------------------------------------------------------------------------


@pytest.mark.parametrize("where", POSTS)
@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://elsewhere.example"},
        {"Origin": "null"},
        {"Origin": f"http://127.0.0.1:{PORT + 1}"},
        {"Origin": f"https://127.0.0.1:{PORT}"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {TOKEN_HEADER: ""},
        {TOKEN_HEADER: "another token"},
    ],
)
def test_no_other_origin_may_post(
    client: TestClient, path: Path, where: str, headers: dict[str, str]
) -> None:
    before = path.read_bytes()
    seen = client.get("/document").json()["seen"]
    answer = post(client, where, headers, text="evil", seen=seen, utf8=False, page="x")
    assert answer.status_code == 403
    assert path.read_bytes() == before


@pytest.mark.parametrize("where", ["/", "/document", "/static/main.js", *POSTS])
@pytest.mark.parametrize(
    "host", ["elsewhere.example", f"elsewhere.example:{PORT}", "127.0.0.1", f"127.0.0.2:{PORT}", ""]
)
def test_another_host_name_is_refused(client: TestClient, where: str, host: str) -> None:
    """DNS rebinding: a name of somebody else's that leads to 127.0.0.1."""
    if where in POSTS:
        answer = client.post(where, json={}, headers=OURS | {"Host": host})
    else:
        answer = client.get(where, headers={"Host": host})
    assert answer.status_code == 421
    assert TOKEN not in answer.text


@pytest.mark.parametrize("where", ["/document", "/events", "/static/main.js"])
def test_another_site_may_not_fetch_either(client: TestClient, where: str) -> None:
    elsewhere = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors"}
    assert client.get(where, headers=elsewhere).status_code == 403


@pytest.mark.parametrize(
    "where",
    [
        "/secret.txt",
        "/static/../secret.txt",
        "/static/..%2fsecret.txt",
        "/static/%2e%2e/%2e%2e/secret.txt",
        "/static//etc/passwd",
        "/static/page.html",
        "/static/",
        "/../../etc/passwd",
        "/document/../secret.txt",
        "/document?path=/etc/passwd/",
    ],
)
def test_no_path_leads_to_another_file(client: TestClient, where: str) -> None:
    answer = client.get(where)
    assert answer.status_code == 404 or where.startswith("/document?")
    assert "not for you" not in answer.text
    assert "root:" not in answer.text


@pytest.mark.parametrize("where", ["/", "/document", "/static/main.js", "/static/none.js"])
def test_every_answer_is_locked_up(client: TestClient, where: str) -> None:
    answer = client.get(where)
    for name, value in HEADERS.items():
        assert answer.headers[name] == value
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "Access-Control-Allow-Origin" not in answer.headers


def test_other_methods_kinds_and_sizes_are_refused(client: TestClient) -> None:
    assert client.put("/save", headers=OURS).status_code == 405
    assert client.options("/save", headers=OURS).status_code == 405
    form = OURS | {"Content-Type": "application/x-www-form-urlencoded"}
    assert client.post("/save", content="text=x", headers=form).status_code == 415
    json = OURS | {"Content-Type": "application/json"}
    assert client.post("/save", content=b" " * (LARGEST_BODY + 1), headers=json).status_code == 413

    def pieces() -> Iterator[bytes]:
        for _ in range(LARGEST_BODY // 100_000 + 1):
            yield b" " * 100_000

    assert client.post("/save", content=pieces(), headers=json).status_code == 413
    assert client.post("/save", content=b"{", headers=json).status_code == 400


def test_only_this_machine_can_connect() -> None:
    with open_socket(0) as listener:
        assert listener.getsockname()[0] == "127.0.0.1"


# The engraver ---------------------------------------------------------------------------------


def in_a_thread(main: Callable[[], Coroutine[Any, Any, Any]]) -> Any:
    """Run a coroutine in a loop of its own; the main thread may have one that drives a browser."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, main()).result()


def test_the_newest_of_a_page_wins() -> None:
    async def main() -> list[Any]:
        engraver = Engraver(print, slow_preview)
        try:
            await engraver.preview("warm", "up", "")
            asked = [engraver.preview("one", str(n), "") for n in range(5)]
            asked.append(engraver.preview("two", "other page", ""))
            return await asyncio.gather(*asked)
        finally:
            engraver.close()

    *first, last, other = in_a_thread(main)
    assert last["text"] == "4"
    assert other["text"] == "other page"
    assert [made for made in first if made is not None][1:] == []


def test_an_engraver_killed_while_it_waits_is_replaced_and_told_of() -> None:
    told: list[str] = []

    async def main() -> None:
        engraver = Engraver(told.append, slow_preview)
        try:
            made = await engraver.preview("one", "a", "")
            assert not told
            os.kill(made["worker"], signal.SIGKILL)
            await asyncio.sleep(0.3)
            again = await engraver.preview("one", "b", "")
            assert again["text"] == "b"
            assert again["worker"] != made["worker"]
        finally:
            engraver.close()

    in_a_thread(main)
    assert told == [WORDS["died"]]


@pytest.mark.parametrize(("text", "reason"), [("die", "died"), ("hang", "too slow")])
def test_an_engraver_that_dies_or_hangs_at_work(text: str, reason: str) -> None:
    told: list[str] = []

    async def main() -> None:
        engraver = Engraver(told.append, slow_preview, seconds=HANG)
        try:
            await engraver.preview("one", "a", "")
            with pytest.raises(WorkerLost) as caught:
                await engraver.preview("one", text, "")
            assert caught.value.reason == reason
            assert (await engraver.preview("one", "b", ""))["text"] == "b"
        finally:
            engraver.close()

    in_a_thread(main)
    assert set(told) == {WORDS[reason]}


def test_the_server_goes_on_after_a_lost_engraver_and_a_fault(path: Path) -> None:
    app = make_app(Document(path), PORT, ENTRANCE, slow_preview, seconds=HANG)
    with inside(app) as client:
        lost = post(client, "/preview", page="a", text="hang")
        assert (lost.status_code, lost.json()["error"]) == (503, WORDS["too slow"])
        fault = post(client, "/preview", page="a", text="fault")
        assert fault.status_code == 500
        assert "fault of the program" in fault.json()["error"]
        assert post(client, "/preview", page="a", text="b").json()["text"] == "b"


def test_preview_is_the_same_every_time() -> None:
    assert preview(ASKING, "x")["tunes"] == preview(ASKING, "x")["tunes"]
