"""The student's page: one HTML file with the music, its sound and what practice needs.

``timing`` says what sounds when, ``engravings`` sets the music at several widths, ``words`` has
what stands around it, ``html`` puts all of it into one file. The page itself is in ``template/``,
``style/`` and ``script/``; its scripts decide nothing musical.
"""

from rollstave.writing.page.html import write_html

__all__ = ["write_html"]
