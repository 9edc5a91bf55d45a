"""How well slips are found: one slip of a known kind is planted in a clean generated tab.

One command, from the top of the repository::

    python -m tests.benchmarks.proofreading --slips 1000 --seed 11

The clean tabs are those of the rhythm benchmark (arranged fiddle tunes and tunes of rolls, typed
evenly). For each kind of slip: how many are found (a mark, in the system where the slip is, that
the clean tab does not have), and of those that leave a trace, how many. Weights and thresholds of
the finder were fitted on seeds 1 to 4 (``fit``); figures on those say little.

A slip leaves no trace if what it makes is as plausible as what stood there: another note of the
same scale in a measure that is heard once. Which slips do is decided from the clean tab and the
changed one, by rules older than the finder's weights and without them. A slip leaves a trace if

- a wrong fret or string makes a fret that does not exist, or a note that no other note of the
  tune sounds (as pitch class), or a measure that differs by that note alone from a measure
  elsewhere in the clean tab;
- a wrong tuning puts at least a tenth of the notes outside the scale that held them before;
- anything else changes the text at all.

Clean tabs that are marked are false alarms, counted per measure and by kind of mark.
"""
