"""Measures read out of an inspector's own words, offline, by rules that people can read: ``catalog/comments_*.toml``.

spelling, quantities, words: the comment as canonical words and quantities, each knowing where it stood; scopes: what is
not found today (limits, advice, earlier visits, hearsay, doubt); numbers, sizes, kinds: what binds to which measure;
reader: all of it, for one comment. What binds equally to two measures is not read.
"""
