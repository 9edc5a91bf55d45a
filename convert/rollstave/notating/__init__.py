"""How a decided score is written down: note values, ties, beams, systems, the order of play."""
