"""The farm as a spreadsheet whose formulas follow every input."""
