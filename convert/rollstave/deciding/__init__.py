"""What is decided about a score that nobody typed: pitches, fingers, chords, shapes, key."""
