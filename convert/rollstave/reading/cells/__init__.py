"""The cell of a row is its share of a measure: frets and signs in it become strokes."""
