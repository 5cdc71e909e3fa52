"""One evaluation: from inputs in canonical units to an outcome."""
