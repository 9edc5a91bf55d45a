"""How well slips are found: one slip of a known kind is planted in a clean generated tab.

From the top of the repository::

    python -m tests.benchmarks.proofreading --slips 1100 --seed 11
    python -m tests.benchmarks.proofreading.alarms          # right tabs that no fit knows

The clean tabs are those of the rhythm benchmark (arranged fiddle tunes and tunes of rolls, typed
evenly; tunes that the corpus itself has wrong are left out). For each kind of slip: how many are
found (a mark, in the system where the slip is, that the clean tab does not have; a lost dash, and
two strokes of a roll in each other's place, only in their own measure), and of those that leave a
trace, how many. Weights and thresholds of the finder were fitted on seeds 1 to 4 (``fit``); figures
on those say little.

A slip leaves no trace if what it makes is as plausible as what stood there. Which slips do is
decided from the clean tab and the changed one, without the finder's weights. A slip leaves a trace
if

- a wrong fret or string makes a fret that does not exist, or a note that no other note of the
  tune sounds (as pitch class), or a measure that differs by that note alone from a measure
  elsewhere in the clean tab (for a closed shape: whose frets are held elsewhere) and is not what
  melody, chord and roll allow: in the scale, within a third of a note beside it, in the triad that
  a closed shape holds, no string struck twice running where else none is;
- a wrong tuning puts at least a tenth of the notes outside the scale that held them before;
- a wrong chord name leaves a quarter outside of six notes or more;
- anything else changes the text at all.

``twin`` counts by the older definition too: a measure that differs by that note alone, allowed or
not. Clean tabs that are marked are false alarms, counted per measure and by kind of mark.
"""
