"""Pure numbers: intervals, shrinkage, false discovery. Loads with numpy and scipy alone."""
