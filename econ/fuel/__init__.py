"""Oils, thinners and machines as physics and rules; nothing here knows a farm's money."""
