"""Frames in, frames out: what the pages, the notes and the exported tables show, each worked out once."""
