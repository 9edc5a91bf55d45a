"""Harbour Lights, typed for mandolin, becomes tab for five-string banjo: music21 lowers it by an
octave, rollstave finds the frets. Run it: ``python samples/plugins/mandolin_to_banjo.py OUT``."""

import sys
from pathlib import Path

from music21 import converter, instrument

import rollstave
import rollstave_music21  # teaches music21 to read and write tab

score = converter.parse(str(Path(__file__).parent / "harbour-lights.txt"), forceSource=True)
played = score.parts[0].expandRepeats().getElementsByClass("Measure")
reach = score.analyze("ambitus").niceName.lower()
print(f"{len(played)} measures with repeats, a range of a {reach}")

lower = score.transpose("-P8")
banjo = lower.recurse().getElementsByClass(instrument.Instrument).first()
banjo.stringPitches = ["G4", "D3", "G3", "B3", "D4"]

# The mandolin's strings and frets no longer sound the notes: new ones are found, and that is said.
text, remarks = rollstave_music21.to_tab(lower)
print(*remarks, sep="\n")
out = Path(sys.argv[1] if len(sys.argv) > 1 else ".")
out.mkdir(parents=True, exist_ok=True)
(out / "harbour-lights-banjo.txt").write_text(text, encoding="utf-8")
(tune,) = rollstave.read(text)
(sheet,) = rollstave.write(tune, "svg")
(out / "harbour-lights-banjo.svg").write_bytes(sheet)
