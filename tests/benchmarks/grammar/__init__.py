"""A grammar of typists: known scores, typed through independent choices, with their truth."""
