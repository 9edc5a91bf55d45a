"""Tab in whatever pandoc reads: code blocks of the class ``rollstave`` become engravings.

``pandoc handout.md --filter rollstave-pandoc -o handout.html``, where the block begins
``{.rollstave view=tab measures=1-4 caption="First part"}``. HTML gets the drawing inline, LaTeX and
PDF a PDF file, other formats an SVG file; files go to the folder that ``rollstave-folder`` in
the metadata names, or to ``rollstave-figures``. ``rollstave-strict: true`` ends the run at a tab
that cannot be engraved.
"""

from __future__ import annotations

import sys


def main() -> None:
    """The filter, as pandoc calls it."""
    try:
        import panflute  # noqa: F401
    except ImportError:
        sys.exit("rollstave-pandoc needs panflute: pip install 'rollstave[pandoc]'")
    from rollstave_pandoc.blocks import run

    run()
