"""A real MkDocs build of the sample site."""

from __future__ import annotations

import shutil
from importlib.metadata import entry_points
from pathlib import Path

import pytest
from lxml import html

from tests.plugins.tabs import WRONG, WRONG_COLUMN, WRONG_LINE

pytest.importorskip("mkdocs", reason="MkDocs is not installed")

from mkdocs.commands.build import build
from mkdocs.config import load_config
from mkdocs.exceptions import Abort

from rollstave_markdown.fences import maker

SITE = Path(__file__).parents[2] / "samples" / "plugins" / "mkdocs"
_KNOWN = any(e.name == "rollstave" for e in entry_points(group="mkdocs.plugins"))
needs_plugin = pytest.mark.skipif(
    not _KNOWN, reason="the entry point is missing: install rollstave again"
)


@pytest.fixture
def site(tmp_path: Path) -> Path:
    shutil.copytree(SITE, tmp_path / "site", ignore=shutil.ignore_patterns("site", ".cache"))
    maker.cache_clear()
    return tmp_path / "site"


def _build(site: Path, **options: object) -> html.HtmlElement:
    config = load_config(str(site / "mkdocs.yml"), **options)
    config.plugins.on_startup(command="build", dirty=False)
    build(config)
    return html.fromstring((site / "site" / "index.html").read_text(encoding="utf-8"))


@needs_plugin
def test_the_sample_is_built_twice(site: Path) -> None:
    folder = str(site / ".cache" / "rollstave")
    first = _build(site, strict=True)
    (figure,) = first.xpath("//figure")
    # Inside the admonition, with both measures; the longer fence stays text.
    assert figure.getparent().get("class") == "admonition note"
    assert figure.xpath("count(.//g[@class='measure'])") == 2
    assert "```rollstave view=tab" in first.xpath("string(//code[contains(., '```')])")
    # One style sheet for all pages.
    assert first.xpath("//link[@href='assets/rollstave.css']")
    assert "@font-face" in (site / "site" / "assets" / "rollstave.css").read_text()
    assert not first.xpath("//style[contains(., 'font-face')]")
    assert maker(folder).engraved == 1
    maker.cache_clear()
    second = _build(site, strict=True)
    assert html.tostring(second.xpath("//figure")[0]) == html.tostring(figure)
    assert maker(folder).engraved == 0


@needs_plugin
def test_an_error_counts_front_matter_and_fails_if_strict(
    site: Path, caplog: pytest.LogCaptureFixture
) -> None:
    page = site / "docs" / "index.md"
    before = "---\ntitle: Wrong\n---\n\n# Wrong\n\n"
    page.write_text(f"{before}```rollstave\n{WRONG}```\n")
    said = f"index.md:{before.count(chr(10)) + 1 + WRONG_LINE}:{WRONG_COLUMN}: error: fret 3"
    assert said in _build(site).find_class("rollstave-problem")[0].text_content()
    assert said in caplog.text
    with pytest.raises(Abort, match="strict mode"):
        _build(site, strict=True)
    settings = site / "mkdocs.yml"
    settings.write_text(settings.read_text().replace("view=both", "view=both\n      strict: true"))
    caplog.clear()
    # MkDocs turns our error into its own and prints it without a traceback.
    with pytest.raises(Abort, match="BuildError"):
        _build(site)
    assert said in caplog.text


@needs_plugin
def test_a_wrong_word_in_the_settings(site: Path, caplog: pytest.LogCaptureFixture) -> None:
    settings = site / "mkdocs.yml"
    settings.write_text(settings.read_text().replace("view=both", "view=aslant"))
    with pytest.raises(Abort, match="BuildError"):
        _build(site)
    assert "view=aslant: it is one of" in caplog.text


def test_as_an_extension_alone(site: Path) -> None:
    (site / "mkdocs.yml").write_text(
        "site_name: A\nuse_directory_urls: false\nplugins: []\n"
        "markdown_extensions:\n  - admonition\n  - rollstave_markdown:\n      strict: true\n"
    )
    root = _build(site)
    assert len(root.xpath("//figure/svg")) == 1
    assert len(root.xpath("//style[contains(., 'font-face')]")) == 1
