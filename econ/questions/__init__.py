"""The model run again: draws, comparisons, sources, tipping points."""
