"""Points and quantiles: number work that knows no farm."""
