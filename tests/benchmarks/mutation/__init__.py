"""Are the tests strong? Small faults are put into the code, one at a time, and tests are run.

    python -m tests.benchmarks.mutation --seed 1 --count 100

Needs ``pip install '.[mutation]'``. The faults are those of mutmut's table of mutation operators,
used as a library; ``operators.py`` says what is added and what is left out. A fault is sampled by
room, then by kind, then by place, so that no big module and no frequent kind outweighs the rest;
the same seed on the same code gives the same faults. Each is made in a copy of the tree, where the
tests of its room are run (``rooms.py``), first those beside it, then those that look from further
away, until one fails or so many seconds are over (``--seconds``). With ``--map FILE`` those that
call the function in which the fault is come before all others, quick ones first; ``touched.py``
makes the file. Tests are collected once: a fault in a function is put into the function that is
loaded (``swapping.py``, ``worker.py``). In the end all tests that killed one are run without any
fault. What survives is printed as a diff: either no test looks there, or the fault changes nothing
that anyone could see, which only a reader can tell; ``stopped`` says that the seconds were over
before all tests of the room were run; ``--only`` tries such ones again, by their numbers, with more
seconds.
"""
