"""What a sentence says of a tune: its words by classes, patterns of classes, how sure it is."""
