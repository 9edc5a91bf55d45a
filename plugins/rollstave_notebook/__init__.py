"""Tab in notebooks: tunes show themselves engraved, a cell of tab is read, and it sounds.

In a cell, ``%load_ext rollstave_notebook``; then a tune from ``rollstave.read`` as the last line
of a cell is shown, and a cell that begins ``%%rollstave`` is a tab::

    %%rollstave name=hill view=tab measures=1-4
    Title: Nettle Hill
    ...

``name`` binds the tune to a name, ``audio=no`` leaves the player away; the other words are those
of :class:`rollstave.figures.FigureOptions`. ``%rollstave view=tab folder=.figures`` sets words
for all that follow; ``folder`` keeps figures for the next run, and ``strict`` makes a wrong tab an
error of the cell. ``play(tune)`` is a player for any tune.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from IPython.core.interactiveshell import InteractiveShell
    from IPython.display import Audio

    from rollstave import Tune

__all__ = ["load_ipython_extension", "play", "unload_ipython_extension"]


def load_ipython_extension(shell: InteractiveShell) -> None:
    """Called by ``%load_ext``."""
    from rollstave_notebook.showing import Notebook

    Notebook.start(shell)


def unload_ipython_extension(shell: InteractiveShell) -> None:
    """Called by ``%unload_ext``."""
    from rollstave_notebook.showing import Notebook

    Notebook.stop(shell)


def play(tune: Tune, **options: Any) -> Audio:
    """A player of the tune, repeats played out; ``options`` go to IPython's Audio."""
    from IPython.display import Audio

    from rollstave_notebook.sound import wav

    return Audio(data=wav(tune), **options)  # type: ignore[no-untyped-call]  # untyped in IPython
