"""Words over and under a system: what they hold and where they stand."""
