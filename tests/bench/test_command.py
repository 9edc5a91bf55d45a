"""``rollstave bench`` as a command."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import httpx
import psutil
import pytest
from click.testing import CliRunner

from rollstave.cli.main import main
from tests.bench.asking import ASKING
from tests.bench.conftest import running
from tests.bench.entering import let_in, opener


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (None, "No such file"),
        (b"<score-partwise version='4.0'/>", "MusicXML"),
        (bytes(range(256)) * 4, "not a text file"),
    ],
)
def test_what_cannot_be_put_on_the_bench(tmp_path: Path, data: bytes | None, words: str) -> None:
    path = tmp_path / "tune.txt"
    if data is not None:
        path.write_bytes(data)
    done = CliRunner().invoke(main, ["bench", str(path), "--no-browser"])
    assert done.exit_code == 2
    assert words in done.output
    assert "Traceback" not in done.output


@pytest.mark.skipif(os.name == "nt", reason="pipes and links of POSIX")
def test_what_is_no_file_is_refused_in_words(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "loop").symlink_to("loop")
    for name, words in [("pipe", "no plain file"), ("loop", "symbolic links"), (".", "directory")]:
        done = CliRunner().invoke(main, ["bench", str(tmp_path / name), "--no-browser"])
        assert (done.exit_code, words in done.output) == (2, True), done.output
        assert "Traceback" not in done.output


def test_a_port_that_is_taken(tmp_path: Path) -> None:
    path = tmp_path / "tune.txt"
    path.write_text(ASKING)
    with running(path) as (address, _):
        port = address.rstrip("/").rpartition(":")[2]
        done = CliRunner().invoke(main, ["bench", str(path), "--no-browser", "--port", port])
    assert done.exit_code == 2
    assert "cannot be put on the bench" in done.output


def begin(path: Path) -> tuple[subprocess.Popen[str], str, Path]:
    """The bench for a file, its address, and the file with its key."""
    program = subprocess.Popen(
        [sys.executable, "-m", "rollstave", "bench", str(path), "--no-browser"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert program.stdout is not None
    address = program.stdout.readline().split(" at ")[1].split()[0]
    return program, address, opener(program.stdout.readline())


def test_it_answers_and_ends_quietly_at_ctrl_c(tmp_path: Path) -> None:
    path = tmp_path / "tune.txt"
    path.write_text(ASKING)
    program, address, file = begin(path)
    assert program.stderr is not None
    listening = psutil.Process(program.pid).net_connections(kind="inet")
    assert {c.laddr.ip for c in listening if c.status == "LISTEN"} == {"127.0.0.1"}
    client = httpx.Client()
    assert let_in(client, address, file).status_code == 200
    assert not file.parent.exists()
    with client.stream("GET", f"{address}events") as events:
        assert events.status_code == 200
        assert "Ferryman" in client.get(f"{address}document").text
        workers = psutil.Process(program.pid).children(recursive=True)
        program.send_signal(signal.SIGINT)
        assert program.wait(60) == 0
    assert program.stderr.read() == ""
    with pytest.raises(httpx.ConnectError):
        client.get(address)
    until = time.monotonic() + 60
    while any(w.is_running() for w in workers) and time.monotonic() < until:
        time.sleep(0.1)
    assert not [w for w in workers if w.is_running() and w.status() != "zombie"]


@pytest.mark.skipif(os.name == "nt", reason="signals of POSIX")
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
def test_however_it_is_ended_nothing_is_left(tmp_path: Path, number: signal.Signals) -> None:
    """The terminal was closed, the machine goes down, or Ctrl-C: quietly, port and key gone."""
    if signal.getsignal(number) is signal.SIG_IGN:
        pytest.skip("what is started under nohup does not hear of a closed terminal")
    path = tmp_path / "tune.txt"
    path.write_text(ASKING)
    program, address, file = begin(path)
    assert program.stderr is not None
    assert httpx.get(address).status_code == 403  # it serves
    program.send_signal(number)
    assert program.wait(20) in (0, -number)
    assert program.stderr.read() == ""
    assert not file.parent.exists()
    with pytest.raises(httpx.ConnectError):
        httpx.get(address)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["tune.txt"]


def test_help_needs_none_of_the_servers_libraries() -> None:
    code = (
        "import sys; from click.testing import CliRunner; from rollstave.cli.main import main;"
        "r = CliRunner().invoke(main, ['bench', '--help']); assert r.exit_code == 0, r.output;"
        "heavy = {'starlette', 'uvicorn', 'jinja2', 'watchfiles', 'pebble', 'verovio'};"
        "assert not heavy & set(sys.modules), heavy & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
