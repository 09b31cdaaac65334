"""How much of a nail's lateral value is left: the yield-limit equations of NDS 2018, chapter 12, and what they need.

Pure functions, plain Python, units in every name. Values are reference values for one fastener in single shear, dry,
for a load of ten years: no other factor is in them unless it is named. Hanger ratings come from tests; a calculation
bounds the nails only, and nothing here says whether a deck holds.
"""
