"""One row's part of a measure: frets and signs become strokes."""
