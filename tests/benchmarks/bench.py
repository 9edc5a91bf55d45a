"""How long an edit on the bench takes to reach the screen, and how much of it is Verovio's.

``python -m tests.benchmarks.bench [EDITS]``: types EDITS letters (40), one at a time, into a
32-measure tune on the real bench in real Chromium, and into the sample whose sheet is engraved most
often to fit its page. Measured in the page from the input event to the frame that shows the new
sheet; Verovio's load and render are measured in the worker. Prints figures; asserts nothing.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import time
from functools import partial
from pathlib import Path
from statistics import median, quantiles
from typing import Any

SAMPLES = Path(__file__).parents[2] / "samples"
TUNES = ("lantern-stairs", "ferry-landing")  # 32 measures; 19 measures in several engravings
# From the input event to the frame after the sheet was put in. A frame is shown after its
# requestAnimationFrame callbacks; a task posted from there runs when it has been handed over.
WATCH = """
window.taken = [];
let begun = null;
document.getElementById("text").addEventListener("input", () => { begun = performance.now(); });
new MutationObserver(() => {
  const from = begun;
  requestAnimationFrame(() => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => window.taken.push(performance.now() - from);
    port2.postMessage(0);
  });
}).observe(document.getElementById("sheet"), { childList: true });
"""

CARET = "(at) => document.getElementById('text').setSelectionRange(at, at)"


def timed_preview(text: str, name: str) -> dict[str, Any]:
    """The bench's preview, with the milliseconds that it and Verovio alone took."""
    from rollstave.bench.preview import preview
    from rollstave.writing.sheet import engraver

    spent = [0.0]
    toolkit: Any = engraver.toolkit()
    if not hasattr(toolkit, "spent"):
        for method in ("loadData", "renderToSVG"):
            setattr(toolkit, method, _timed(getattr(toolkit, method), toolkit))
    toolkit.spent = spent
    start = time.perf_counter()
    made = preview(text, name)
    made["milliseconds"] = 1000 * (time.perf_counter() - start)
    made["verovio"] = 1000 * spent[0]
    return made


def _timed(method: Any, toolkit: Any) -> Any:
    def wrapped(*arguments: Any) -> Any:
        start = time.perf_counter()
        try:
            return method(*arguments)
        finally:
            toolkit.spent[0] += time.perf_counter() - start

    return wrapped


def serve_timed(path: str) -> None:
    """The bench with the timed preview."""
    from tests.benchmarks.bench import timed_preview as by_its_full_name

    from rollstave.bench.serve import serve

    say = partial(print, flush=True)
    serve(Path(path), browser=False, say=say, make_preview=by_its_full_name)


def measure(name: str, edits: int) -> None:
    """Type into one sample and print what was measured."""
    from tests.bench.entering import enter, learn
    from tests.browsers import chromium

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"{name}.txt"
        path.write_bytes((SAMPLES / f"{name}.txt").read_bytes())
        command = [sys.executable, "-m", "tests.benchmarks.bench", "--serve", str(path)]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as program:
            assert program.stdout is not None
            found = re.search(r"http://\S+/", program.stdout.readline())
            assert found
            learn(found[0], program.stdout.readline())
            # Playwright asks by scripts of its own, which the page's policy would refuse.
            page = chromium().new_page(viewport={"width": 1440, "height": 900}, bypass_csp=True)
            enter(page, found[0])
            page.wait_for_selector("#sheet svg")
            page.evaluate(WATCH)
            inside = []
            place = path.read_text().index("\n")  # the end of the title
            for number in range(edits + 3):
                page.focus("#text")
                page.evaluate(CARET, place + number)
                with page.expect_response("**/preview") as answer:
                    page.keyboard.type("x")
                page.wait_for_function(f"window.taken.length > {number}")
                inside.append(answer.value.json())
            taken = page.evaluate("window.taken")[3:]
            inside = inside[3:]
            page.close()
            program.terminate()
    whole = median(taken)
    verovio = median(one["verovio"] for one in inside)
    worker = median(one["milliseconds"] for one in inside)
    measures = len(inside[0]["tunes"][0]["measures"])
    print(f"{name}, {measures} measures, {len(taken)} edits: key to screen")
    print(f"  median {whole:.0f} ms, 95th percentile {quantiles(taken, n=20)[-1]:.0f} ms")
    print(
        f"  of the median: Verovio {verovio:.0f} ms ({verovio / whole:.0%}), reading and "
        f"laying out {worker - verovio:.0f} ms, pause for the next key 35 ms, sending and "
        f"drawing {whole - worker - 35:.0f} ms"
    )


if __name__ == "__main__":
    if sys.argv[1:2] == ["--serve"]:
        serve_timed(sys.argv[2])
    else:
        for each in TUNES:
            measure(each, int(sys.argv[1]) if len(sys.argv) > 1 else 40)
