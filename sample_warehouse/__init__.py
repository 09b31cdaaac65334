"""Wrenfield Home Inspection, an invented firm in invented Tallow County, and the reports that it would hand over.

Everything here is invented: people, builders, decks, calls, sentences, and **every frequency**: no published survey of
deck defects by kind or age was found. What the product should find in these reports is written down in
``planted_truth.toml``; how each kind of case looks, in ``kinds.toml``; which rows a load must refuse, in
``expected_refusals.csv``, and what it counts, in ``expected_load.toml``. ``reports/`` holds a small set made by the
same generator::

    python -m sample_warehouse DIR [--reports N] [--seed S]
"""
