"""The sample notebook executed by nbclient, the magics, and the sound."""

from __future__ import annotations

import asyncio
import base64
import io
import re
import wave
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import mido
import pytest

import rollstave
from tests import tunes
from tests.plugins.tabs import ROLL, WRONG

np = pytest.importorskip("numpy", reason="numpy is not installed")
pytest.importorskip("IPython", reason="IPython is not installed")
nbformat = pytest.importorskip("nbformat", reason="nbformat is not installed")
nbclient = pytest.importorskip("nbclient", reason="nbclient is not installed")
pytest.importorskip("ipykernel", reason="ipykernel is not installed")

from jupyter_client import AsyncKernelManager  # noqa: E402

from rollstave_notebook import play  # noqa: E402
from rollstave_notebook.sound import RATE, pluck, samples, wav  # noqa: E402

NOTEBOOK = Path(__file__).parents[2] / "samples" / "plugins" / "nettle-hill.ipynb"
COUNT = "from rollstave_notebook.showing import Notebook\nprint(Notebook.current.maker.engraved)"


@pytest.fixture(scope="module")
def kernel() -> Iterator[AsyncKernelManager]:
    """One kernel for all cells that leave nothing behind: to start one takes a second."""
    manager = AsyncKernelManager()
    yield manager
    # In a thread of its own: a browser of other tests may have left this one with a running loop.
    with ThreadPoolExecutor(1) as pool:
        pool.submit(lambda: asyncio.run(manager.shutdown_kernel(now=True))).result()


def _run(*cells: str, kernel: AsyncKernelManager | None = None) -> list[list[dict[str, object]]]:
    """The outputs of each cell, in a kernel that has loaded the extension, a new one if none is
    given."""
    notebook = nbformat.v4.new_notebook()
    notebook.cells = [
        nbformat.v4.new_code_cell(c) for c in ("%load_ext rollstave_notebook", *cells)
    ]
    nbclient.NotebookClient(notebook, km=kernel, timeout=120).execute()
    return [cell.outputs for cell in notebook.cells[1:]]


def _html(outputs: list[dict[str, object]]) -> str:
    return "".join(str(o["data"].get("text/html", "")) for o in outputs if "data" in o)  # type: ignore[attr-defined]


def test_the_sample() -> None:
    notebook = nbformat.read(NOTEBOOK, as_version=4)
    nbclient.NotebookClient(notebook, timeout=120).execute()
    cells = [cell for cell in notebook.cells if cell.cell_type == "code"]
    shown = _html(cells[1].outputs)
    assert len(re.findall(r'class="measure"', shown)) == 4
    assert "The first line" in shown
    # The first measure as typed: G3 Bb3 D4 G4 C4 D4, in MIDI numbers by hand.
    assert cells[2].outputs[-1]["data"]["text/plain"] == "[55, 58, 62, 67, 60, 62]"
    tune = cells[3].outputs[0]["data"]
    assert "<svg" in tune["text/html"]
    assert tune["text/plain"] == "<Nettle Hill: five-string banjo, 4/4, G dorian, 4 measures>"


def test_audio_plays(kernel: AsyncKernelManager) -> None:
    (outputs,) = _run("%%rollstave\n" + ROLL, kernel=kernel)
    sound = re.search(r'data:audio/wav;base64,([^"]+)"', _html(outputs))
    assert sound is not None
    with wave.open(io.BytesIO(base64.b64decode(sound[1]))) as file:
        assert file.getnframes() > file.getframerate()
    (outputs,) = _run("%%rollstave audio=no\n" + ROLL, kernel=kernel)
    assert "audio" not in _html(outputs)
    assert "<svg" in _html(outputs)


def test_nothing_is_engraved_again(tmp_path: Path) -> None:
    cells = (
        f'%rollstave folder="{tmp_path}"',
        "%%rollstave name=roll audio=no\n" + ROLL,
        "%%rollstave audio=no\n" + ROLL,
        "roll",
        "roll",
        COUNT,
    )
    # The cell once, and the tune by itself once.
    assert _run(*cells)[-1][0]["text"] == "2\n"
    assert _run(*cells)[-1][0]["text"] == "0\n"


def test_a_wrong_tab_is_shown_with_its_place(kernel: AsyncKernelManager) -> None:
    (outputs,) = _run("%%rollstave\n" + WRONG, kernel=kernel)
    # The magic is line 1 of the cell.
    assert "cell:9:9: error: fret 3 on string 5 does not exist" in _html(outputs)


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ("%%rollstave strict\n" + WRONG, "cell, line 9, column 9: fret 3"),
        ("%%rollstave view=aslant\n" + ROLL, "view=aslant"),
        ("%%rollstave name=two-words\n" + ROLL, "cannot be the name"),
        ("%rollstave name=roll", "belongs to a cell"),
    ],
)
def test_errors_of_a_cell(cell: str, said: str, kernel: AsyncKernelManager) -> None:
    with pytest.raises(nbclient.exceptions.CellExecutionError, match=re.escape(said)):
        _run(cell, kernel=kernel)


@pytest.mark.parametrize("midi", [36, 48, 50, 55, 59, 62, 67, 74, 84])
def test_strings_are_in_tune(midi: int) -> None:
    """Equal temperament from A4 = 440 Hz (ISO 16), within 3 cents, about what a good tuner tells
    apart (common practice, no source). Measured as the peak of a spectrum, by parabola."""
    sound = pluck(midi, 2.0)
    size = 1 << 18
    spectrum = np.abs(np.fft.rfft(sound * np.hanning(len(sound)), size))
    wanted = 440 * 2 ** ((midi - 69) / 12)
    low, high = (int(wanted * f * size / RATE) for f in (0.95, 1.05))
    top = low + int(np.argmax(spectrum[low:high]))
    a, b, c = np.log(spectrum[top - 1 : top + 2])
    peak = (top + 0.5 * (a - c) / (a - 2 * b + c)) * RATE / size
    assert abs(1200 * np.log2(peak / wanted)) < 3


def test_strings_ring_down() -> None:
    for midi in (50, 67):
        sound = pluck(midi)
        early, late = (float(np.abs(sound[int(t * RATE) :][:2000]).max()) for t in (0.05, 2.0))
        assert 0 < late < early / 10


def test_a_tune_lasts_as_long_as_its_midi() -> None:
    (tune,) = rollstave.read(ROLL)
    (data,) = rollstave.write(tune, "midi")
    length = mido.MidiFile(file=io.BytesIO(data)).length
    with wave.open(io.BytesIO(wav(tune))) as file:
        assert file.getnframes() / file.getframerate() == pytest.approx(length + 0.3, abs=0.1)
        assert file.getnchannels() == 1
    sound = samples(tune)
    assert float(np.abs(sound).max()) <= 1
    assert wav(tune) == wav(tune)


def test_the_first_note_of_a_tune_is_its_pitch() -> None:
    """G3, 196.00 Hz in the usual tables, is the first note of the roll."""
    (tune,) = rollstave.read(ROLL)
    first = samples(tune)[: int(0.28 * RATE)]
    spectrum = np.abs(np.fft.rfft(first * np.hanning(len(first)), 1 << 17))
    low, high = (int(f * (1 << 17) / RATE) for f in (150, 260))
    peak = (low + int(np.argmax(spectrum[low:high]))) * RATE / (1 << 17)
    assert peak == pytest.approx(196.0, rel=0.01)


def test_a_player_takes_what_ipython_takes() -> None:
    # IPython.display.Audio: with autoplay its HTML has the attribute of that name.
    tune = tunes.sample("nettle-hill")
    for autoplay in (False, True):
        player = play(tune, autoplay=autoplay)._repr_html_()
        assert ('autoplay="autoplay"' in player) == autoplay
