"""Real Sphinx builds: HTML, LaTeX, text; built twice, changed, and strict."""

from __future__ import annotations

import io
import re
import shutil
from pathlib import Path

import pypdf
import pytest
from lxml import html

from tests.plugins.tabs import ROLL, WRONG, WRONG_COLUMN, WRONG_LINE, indented

pytest.importorskip("sphinx", reason="Sphinx is not installed")

from sphinx.application import Sphinx
from sphinx.errors import SphinxError
from sphinx.util.docutils import docutils_namespace, patch_docutils

from rollstave_sphinx.setting import maker

SAMPLES = Path(__file__).parents[2] / "samples"


@pytest.fixture
def project(tmp_path: Path) -> Path:
    shutil.copytree(SAMPLES / "plugins" / "sphinx", tmp_path / "plugins" / "sphinx")
    shutil.copy(SAMPLES / "nettle-hill.txt", tmp_path)
    maker.cache_clear()
    return tmp_path / "plugins" / "sphinx"


class Built:
    """A build: what it said, which documents it read and wrote, and how often it engraved."""

    def __init__(self, project: Path, builder: str = "html", parallel: int = 0, **conf: object):
        warnings, status = io.StringIO(), io.StringIO()
        out, trees = project / "_out" / builder, project / "_trees"
        maker.cache_clear()  # as a new process starts
        with patch_docutils(), docutils_namespace():
            app = Sphinx(
                project,
                project,
                out,
                trees,
                builder,
                confoverrides=conf,
                status=status,
                warning=warnings,
                parallel=parallel,
            )
            app.build()
        self.warnings, self.status, self.out = warnings.getvalue(), status.getvalue(), out
        self.engraved = maker(trees).engraved

    def page(self, name: str = "index") -> html.HtmlElement:
        return html.fromstring((self.out / f"{name}.html").read_text(encoding="utf-8"))


def _write(project: Path, text: str) -> None:
    (project / "index.rst").write_text("Page\n====\n\n" + text)


def test_html(project: Path) -> None:
    built = Built(project)
    assert built.warnings == ""
    root = built.page()
    one, two = root.xpath("//figure")
    assert (one.get("id"), two.get("id")) == ("first-strain", "typed-here")
    assert one.xpath("count(.//g[@class='measure'])") == 8
    assert "Fig. 1" in one.xpath("string(figcaption)")
    assert one.xpath("string(figcaption//em)") == "Nettle Hill"
    # Referred to by number.
    links = {
        a.get("href"): a.text_content() for a in root.xpath("//a[span[@class='std std-numref']]")
    }
    assert links["#first-strain"] == "Fig. 1"
    assert links["#typed-here"] == "Fig. 2"
    ids = root.xpath("//@id")
    assert len(ids) == len(set(ids))
    # The typed text is kept, and the fonts are in one file of all pages.
    assert "Net-    tle" in one.xpath("string(.//details)")
    assert two.xpath("string(.//pre[@class='rollstave-hidden'])").startswith("Tuning: gDGBD")
    assert "@font-face" in (built.out / "_static" / "rollstave.css").read_text()
    assert root.xpath("//link[contains(@href, '_static/rollstave.css')]")


def test_nothing_is_done_again(project: Path) -> None:
    assert Built(project).engraved == 2
    page = project / "_out" / "html" / "index.html"
    before = page.read_bytes(), page.stat().st_mtime_ns
    again = Built(project)
    assert again.engraved == 0
    assert (page.read_bytes(), page.stat().st_mtime_ns) == before
    assert "0 added, 0 changed" in again.status or "no targets are out of date" in again.status


def test_a_changed_file_is_engraved_and_nothing_else(project: Path) -> None:
    Built(project)
    tune = project.parents[1] / "nettle-hill.txt"
    tune.write_text(tune.read_text().replace("Key: G dorian", "Key: G minor"))
    again = Built(project)
    assert again.engraved == 1
    assert "G minor" in again.page().xpath("//svg/@aria-label")[0]


def test_documents_read_in_parallel(project: Path) -> None:
    for number in range(6):
        text = f"Page {number}\n======\n\n.. rollstave::\n   :caption: It\n\n"
        tab = ROLL.replace("Ferry Roll", f"Roll {number}")
        (project / f"p{number}.rst").write_text(":orphan:\n\n" + text + indented(tab, 3))
    built = Built(project, parallel=2)
    assert "not safe for parallel" not in built.warnings
    assert built.warnings == ""
    for number in range(6):
        assert f"Roll {number}:" in built.page(f"p{number}").xpath("//svg/@aria-label")[0]


def test_latex_has_pdf_figures(project: Path) -> None:
    built = Built(project, "latex")
    assert built.warnings == ""
    (tex,) = built.out.glob("*.tex")
    text = tex.read_text()
    names = re.findall(r"\\sphinxincludegraphics\{(rollstave-\w+\.pdf)\}", text)
    assert len(set(names)) == 2
    assert r"\caption{The first strain of \sphinxstyleemphasis{Nettle Hill}}" in text
    assert r"\label{\detokenize{index:first-strain}}" in text
    for name in names:
        reader = pypdf.PdfReader(built.out / name)
        assert len(reader.pages) == 1
        # A cropped figure, far lower than a page of 297 mm.
        assert 20 < float(reader.pages[0].mediabox.height) / 72 * 25.4 < 140


def test_text_builders_keep_the_tab(project: Path) -> None:
    made = (Built(project, "text").out / "index.txt").read_text()
    assert "g |-----0-------0---|-----0-------0---|" in made


def test_an_error_has_its_place(project: Path) -> None:
    _write(project, ".. rollstave::\n   :view: tab\n\n" + indented(WRONG, 3))
    line = 3 + 3 + WRONG_LINE
    place = f"index.rst:{line}:{WRONG_COLUMN + 3}"
    built = Built(project, rollstave_strict=False)
    assert place in built.warnings
    (box,) = built.page().find_class("rollstave-problem")
    assert f"{place}: error: fret 3" in box.text_content()
    assert "g |-----3---|" in box.text_content()
    with pytest.raises(SphinxError, match=re.escape(place)):
        Built(project, rollstave_strict=True)


def test_an_error_in_a_file_has_its_place(project: Path) -> None:
    (project / "wrong.txt").write_text(WRONG)
    _write(project, ".. rollstave:: wrong.txt\n")
    with pytest.raises(SphinxError, match=f"wrong.txt:{WRONG_LINE}:{WRONG_COLUMN}: error"):
        Built(project)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (".. rollstave:: nowhere.txt\n", "nowhere.txt cannot be read"),
        (".. rollstave::\n", "neither a file nor a tab"),
        (".. rollstave:: ../../nettle-hill.txt\n\n   D |-0-|\n", "keep one"),
        (".. rollstave:: ../../nettle-hill.txt\n   :view: aslant\n", "view=aslant"),
        (".. rollstave:: ../../nettle-hill.txt\n   :measures: 40-50\n", "measures 1 to 18"),
    ],
)
def test_what_is_wrong_with_a_directive(project: Path, text: str, said: str) -> None:
    _write(project, text)
    with pytest.raises(SphinxError, match=f"index.rst:4:1: error: .*{said}|{said}"):
        Built(project)
