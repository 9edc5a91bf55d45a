"""Imported in the process that starts the workers, and nowhere else: its error output is nobody's.

A worker that is still starting when the pool ends complains of its lost parent, in the middle of
what the user reads. Once it is set up, a worker writes to a file of its own (``inside.prepare``).
"""

from __future__ import annotations

import os

_nowhere = os.open(os.devnull, os.O_WRONLY)
os.dup2(_nowhere, 2)
os.close(_nowhere)
