"""The worth of flows, rates and depreciation; money that knows no farm."""
