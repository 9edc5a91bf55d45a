"""How well rhythm is read: a measure of the solver against tunes whose rhythm is known.

One command, from the top of the repository::

    python -m tests.benchmarks.rhythm --dev --tunes 100

A tune flows through the package like this::

    corpus ──▶ arrange ─┐
                        ├──▶ typist (text and truth) ──▶ solver, baselines ──▶ score ──▶ report
              rolls ────┘

- ``corpus``: tunes of music21's corpus, ``ryansMammoth`` and three more, as plain data;
- ``arrange`` (with ``fingering``): such a melody laid out on a banjo, with drones and fills;
- ``rolls`` (with ``roll_tables``): tunes made of right-hand rolls, of our own making;
- ``typist`` (with ``spacing``, ``counts`` and ``letters``): the tune typed as text tab;
- ``baselines``: the two simple readings that any solver has to beat;
- ``solver``: the one adapter to the library under test;
- ``score``, ``report``, ``run``: figures.

Beside the project's own arranger and typist stand others that know nothing of the solver
(``arrangers``, ``typists``, named in ``people``). ``python -m tests.benchmarks.rhythm.unseen``
measures how their texts are read; ``fit`` fits the solver's data, on a recipe of ``material``, and
``tables`` lets the solver use other data than the package's.

Everything is deterministic given a seed. All durations are Fractions of a quarter note.
"""
