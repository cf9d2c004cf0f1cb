"""The tree book: trees, notes and looks in one SQLite file."""
