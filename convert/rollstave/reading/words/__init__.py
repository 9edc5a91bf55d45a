"""Words between systems: headings, titles, sections, directions, remarks."""
