"""What the typist wrote, and nothing more: systems, measures, columns, tokens, with places."""
