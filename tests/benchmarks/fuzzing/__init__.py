"""Fuzzing: inputs nobody would type, by the hundred thousand, for the reader, solver and writers.

``python -m tests.benchmarks.fuzzing`` runs every target (``targets.py``) in a process of its own,
guided by coverage (atheris, ``pip install '.[fuzz]'``), from a corpus of small pieces
(``corpus.py``). Options: ``--total`` executions of all targets together, ``--target`` one or more
of them, ``--seed``, ``--out`` for findings and corpora, ``--blind`` for mutation without coverage
(what is done where atheris is not installed).

A finding is an exception that is not the project's own, a broken invariant, or an input that takes
more than two seconds for 100 kB. Each that was ever found is in ``found.py`` and is tried again by
``test_found.py``. The engraver, which can end a process, is fuzzed in worker processes:
``python -m tests.benchmarks.fuzzing.engraver``.
"""
