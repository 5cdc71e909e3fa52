"""One question each: Decide, Thinners, Present, and the farm behind them."""
