"""Fenced blocks in Markdown, rendered by markdown-it-py and by Python-Markdown."""

from __future__ import annotations

import logging
from collections.abc import Callable
from pathlib import Path

import pytest
from lxml import html

from tests.plugins.tabs import ROLL, WRONG, WRONG_COLUMN, WRONG_LINE, indented

pytest.importorskip("markdown_it", reason="markdown-it-py is not installed")
markdown = pytest.importorskip("markdown", reason="Python-Markdown is not installed")

from markdown_it import MarkdownIt  # noqa: E402

from rollstave_markdown import TabOnPageError, rollstave_plugin  # noqa: E402
from rollstave_markdown.fences import maker  # noqa: E402

HANDOUT = Path(__file__).parents[2] / "samples" / "plugins" / "handout.md"
Renderer = Callable[..., str]


def _markdown_it(text: str, **settings: object) -> str:
    return MarkdownIt().use(rollstave_plugin, **settings).render(text)


def _python_markdown(text: str, **settings: object) -> str:
    made = markdown.markdown(
        text,
        extensions=["fenced_code", "rollstave_markdown"],
        extension_configs={"rollstave_markdown": settings},
    )
    return str(made)


@pytest.fixture(params=[_markdown_it, _python_markdown], ids=["markdown-it", "python-markdown"])
def render(request: pytest.FixtureRequest) -> Renderer:
    return request.param  # type: ignore[no-any-return]


def _tree(made: str) -> html.HtmlElement:
    return html.fromstring(f"<div>{made}</div>")


def _block(tab: str, words: str = "", fence: str = "```") -> str:
    return f"{fence}rollstave {words}\n{tab}{fence}\n"


def test_the_sample(render: Renderer) -> None:
    root = _tree(render(HANDOUT.read_text(), strict=True))
    figures = root.xpath("//figure")
    assert len(figures) == 2
    assert figures[0].get("id") == "first-line"
    assert all(f.xpath("./svg[@role='img' and @aria-label]") for f in figures)
    assert "The first line, tab only" in figures[0].xpath("string(figcaption)")
    assert "sawmill" in figures[0].xpath("string(figcaption)")
    # Both figures are where the text has them: the second inside the second step.
    assert root.xpath("count(//ol/li[2]//figure)") == 1
    # As many measures as typed: four, and two (counted by hand).
    counts = [f.xpath("count(.//g[@class='measure'])") for f in figures]
    assert counts == [4, 2]


def test_the_rest_of_the_page_is_untouched(render: Renderer) -> None:
    text = "# One\n\n{}\n*two*\n\n```python\nprint()\n```\n"
    root = _tree(render(text.format(_block(ROLL))))
    assert root.xpath("string(//h1)") == "One"
    assert root.xpath("string(//em)") == "two"
    assert root.xpath("string(//code)").strip() == "print()"
    assert "<style>" not in render(text.format(""))


def test_a_longer_fence_shows_the_block_as_text(render: Renderer) -> None:
    """The closing fence is at least as long as the opening one (CommonMark 0.31, 4.5)."""
    made = render(f"````\n{_block(ROLL)}````\n\n~~~\n{_block(ROLL)}~~~\n")
    assert "<figure" not in made
    assert made.count("```rollstave") == 2


def test_tildes_and_an_open_end(render: Renderer) -> None:
    assert render(_block(ROLL, fence="~~~~")).count("<figure") == 1
    assert render("```rollstave\n" + ROLL).count("<figure") == 1


def test_code_far_in_is_shown(render: Renderer) -> None:
    """Four spaces are code (CommonMark 0.31, 4.4)."""
    assert "<figure" not in render("A word.\n\n" + indented(_block(ROLL), 4))


def test_the_style_comes_once(render: Renderer) -> None:
    made = render(_block(ROLL) + "\n" + _block(ROLL, "view=tab"))
    assert made.count("<figure") == 2
    assert made.count("<style>") == 1
    assert "<style>" not in render(_block(ROLL), style=False)


@pytest.mark.parametrize("by", [0, 3])
def test_an_error_has_its_place_on_the_page(render: Renderer, by: int) -> None:
    before = "One\n\nTwo\n\n"
    text = before + indented(_block(WRONG), by)
    line, column = before.count("\n") + 1 + WRONG_LINE, WRONG_COLUMN + by
    root = _tree(render(text))
    (box,) = root.find_class("rollstave-problem")
    assert f"line {line}, column {column}" in box.text_content()
    assert text.splitlines()[line - 1][column - 1] == "3"
    assert "g |-----3---|" in box.xpath("string(pre)")
    with pytest.raises(TabOnPageError, match=f"line {line}, column {column}"):
        render(text, strict=True)


def test_a_wrong_word_has_its_place_on_the_page(render: Renderer) -> None:
    text = "One\n\n" + _block(ROLL, "view=tab measures=one")
    with pytest.raises(TabOnPageError, match=r"line 3, column .*measures=one"):
        render(text, strict=True)
    with pytest.raises(TabOnPageError, match=r"line 3, column 22: 'x=\"' is not"):
        render("One\n\n" + _block(ROLL, 'view=tab x="'), strict=True)


def test_an_error_is_escaped(render: Renderer) -> None:
    made = render(_block(WRONG + "<script>alert(1)</script>\n", 'caption="<b>"'))
    assert not _tree(made).xpath("//script")


def test_errors_are_logged(render: Renderer, caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.WARNING):
        render(_block(WRONG))
    assert "does not exist" in caplog.text


def test_the_page_is_named_in_messages() -> None:
    parser = MarkdownIt().use(rollstave_plugin)
    made = parser.render(_block(WRONG), {"path": "handout.md"})
    assert f"handout.md:{1 + WRONG_LINE}:{WRONG_COLUMN}: error:" in made


def test_words_for_every_block(render: Renderer) -> None:
    made = render(_block(ROLL), options="view=tab")
    assert "tablature for" in made
    assert "staff and tablature for" not in made


def test_nothing_is_engraved_again(render: Renderer, tmp_path: Path) -> None:
    text = _block(ROLL) + "\n" + _block(ROLL, "view=tab")
    maker.cache_clear()
    first = render(text, folder=str(tmp_path))
    assert maker(str(tmp_path)).engraved == 2
    maker.cache_clear()  # as a new process starts
    assert render(text, folder=str(tmp_path)) == first
    assert maker(str(tmp_path)).engraved == 0
    render(text.replace("Ferry", "Fairy", 1), folder=str(tmp_path))
    assert maker(str(tmp_path)).engraved == 1


def test_both_libraries_make_the_same_figures() -> None:
    text = HANDOUT.read_text()
    one, other = (_tree(r(text)).xpath("//figure") for r in (_markdown_it, _python_markdown))
    shown = [[html.tostring(f, with_tail=False) for f in figures] for figures in (one, other)]
    assert shown[0] == shown[1]
