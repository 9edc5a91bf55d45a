"""A page with figures and an error, checked by axe-core in a browser (WCAG 2.2, A and AA)."""

from __future__ import annotations

import pytest

from rollstave.figures import FigureMaker, FigureOptions, FigurePage, problems_html
from tests.plugins.tabs import ROLL, WRONG

browsers = pytest.importorskip("tests.browsers", reason="playwright is not installed")
axe = pytest.importorskip(
    "axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed"
)


@pytest.mark.parametrize("look", ["", "background:#111;color:#eee"])
def test_a_page_of_figures(look: str) -> None:
    maker, page = FigureMaker(), FigurePage()
    parts = [
        page.figure(maker.make(ROLL, FigureOptions(caption="A roll", typed=typed)))
        for typed in ("folded", "hidden", "shown", "none")
    ]
    parts.append(problems_html((), WRONG))
    content = (
        "<!doctype html><html lang='en'><head><title>Rolls</title>"
        f"{page.style()}</head><body style='{look}'><main><h1>Rolls</h1>"
        f"{''.join(parts)}</main></body></html>"
    )
    with browsers.a_page(1280, 720) as tab:
        tab.set_content(content)
        tab.locator("summary").first.click()
        found = axe.Axe().run(tab).response["violations"]
        shown = tab.locator("figure svg").first.bounding_box()
    assert [(v["id"], [n["html"][:120] for n in v["nodes"]]) for v in found] == []
    assert shown["width"] > 200
