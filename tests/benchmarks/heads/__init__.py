"""Heads of tabs as many people type them, each over the same few measures."""
