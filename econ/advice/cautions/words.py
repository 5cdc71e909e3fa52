"""Lines on hazards that stand beside tables and charts, worded once for every surface."""

AS_GASOLINE = "It is gasoline: treat the whole blend as gasoline."
ETHANOL = (
    "Gasoline with ethanol (E10) has less heat in a volume, which these figures count, and it draws"
    " water."
)
RATED = "Gasoline needs tanks and pumps rated for it."
NEVER_WARMED = (
    "A gasoline blend is never warmed: no share is worked out above its own fuel's temperature."
)
FLASH_ESTIMATES = (
    "Flash figures are estimates by the index method, not tests: only a closed-cup test (ASTM D93)"
    " counts. What flashes below 100 °F (38 °C) is treated as gasoline. Fire classes are those of"
    " US OSHA 29 CFR 1910.106(a)(19), a yardstick."
)


def never_warmer_than(warmest: str) -> str:
    """Say why a warmer fuel is refused, with the warmest that is not.

    Examples
    --------
    >>> never_warmer_than("104 °F")
    'A gasoline blend is never warmed: at most 104 °F.'
    """
    return f"A gasoline blend is never warmed: at most {warmest}."
