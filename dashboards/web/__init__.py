"""The farm in a browser: a local page to put a farm in, see the answer move, and save it."""
