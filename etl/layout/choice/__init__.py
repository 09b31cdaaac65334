"""Which foreign column is which of the contract; :mod:`etl.layout.choose` asks each of these in turn.

By its label, by its cells, by what comes again beside it; those of people aside, and those of wide rows together.
"""
