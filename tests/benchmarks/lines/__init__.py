"""What each line of a text is: fitting the chain of lines, and measuring it against the rules."""
