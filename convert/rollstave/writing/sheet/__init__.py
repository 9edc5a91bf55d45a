"""The engraved sheet: Verovio sets the music, we draw what tab needs, and lay out the pages.

``engraving`` runs Verovio and finds where things are, ``marks`` draws onto its systems, ``pages``
puts the systems on pages under a title block.
"""

from rollstave.writing.sheet.svg import write_svg

__all__ = ["write_svg"]
