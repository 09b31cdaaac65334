"""Reads a published snapshot and shows it: measures, charts, pages, notes and the command line."""
