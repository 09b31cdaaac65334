"""Foreign tables: a layout says how their columns and words map to the contract; :mod:`suggest` proposes one.

A layout is a TOML file that a person has reviewed. :mod:`apply` turns the files that it describes into rows of the
contract, which then pass the same checks as any others.
"""
