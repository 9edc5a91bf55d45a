"""What each line of words is, told from all lines together: a chain with fitted weights."""
