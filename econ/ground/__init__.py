"""Words, dimensions, sources and faults; nothing here knows a farm."""
