"""Random and damaged farm files, each from its number alone, so that a failing one can be had
again: dense farms, farms at their bounds, demo farms with one edit, and text gone wrong."""

import re
from collections.abc import Callable
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

from seeded import farm
from strategies import to_toml

SCENARIOS = Path(__file__).parents[2] / "scenarios"
Document = dict[str, Any]

FIGURES = (
    "0", "-0.0", "1e-308", "5e-324", "1e-200", "1e-12", "1e-9", "1e-6", "1e-3", "1", "0.999999999",
    "1e3", "1e6", "1e9", "1e12", "1e300", "1.7976931348623157e308", "-1", "-1e-200", "-1e300",
    "nan", "inf", "-inf", "99999999999999999999", "true", '"12"', '""', "[]", "{}",
    "{ low = 0, likely = 0, high = 0 }", "{ low = 0, likely = 0, high = 1e-308 }",
    "{ low = 1, likely = 1, high = 1.0000000000000002 }", "{ low = 0, likely = 1, high = 1e9 }",
    "{ low = 3, likely = 2, high = 1 }", "{ low = 0, likely = 0.5, high = 1 }",
    "{ low = 0, likely = 0, high = 1 }", "{ low = 1, likely = 1 }", "1979-05-27", "0x7f", "1_000",
)  # fmt: skip
NAMES = (
    '""', '" "', '"[/bold]"', '"[red]"', '"\\u001b[2J"', '"\\u202e"', '"' + "n" * 300 + '"',
    '"a.b.c"', '"machine 0"', '"=1+1"', '"é ø 油"', '"a\\nb"', '"<script>"', '"%s {0}"',
)  # fmt: skip
_NUMBER = re.compile(r"(?m)(?<== )(-?\d[\d.e_+-]*|\{ low[^}]*\})")
_GUESS = re.compile(r"\{ low = [^,]*, likely = ([^,]*), high = [^}]* \}")


def _dense(dice: Random) -> str:
    return to_toml(farm(dice.randrange(10**9)))


def _one_figure(dice: Random) -> str:
    return _with_figures(_any_farm(dice), dice, 1)


def _several_figures(dice: Random) -> str:
    return _with_figures(_any_farm(dice), dice, dice.randint(2, 12))


def _with_figures(text: str, dice: Random, count: int) -> str:
    """Put strange figures in the places of some."""
    for _ in range(count):
        places = list(_NUMBER.finditer(text))
        place = dice.choice(places)
        text = text[: place.start()] + dice.choice(FIGURES) + text[place.end() :]
    return text


def _tiny_or_huge(dice: Random) -> str:
    """Make all figures of a kind as small or large as they come."""
    size = dice.choice(("0", "1e-6", "1e-3", "1e3", "1e5", "1e9"))
    key = dice.choice(
        ("price", "cost", "volume", "hours", "share", "rate", "energy", "storage", "years", "")
    )
    share = dice.uniform(0.2, 1.0)

    def changed(match: re.Match[str]) -> str:
        line = match.string[: match.start()].rpartition("\n")[2]
        return size if key in line and dice.random() < share else match[0]

    return _NUMBER.sub(changed, _any_farm(dice))


def _one_guess(dice: Random) -> str:
    """Leave one guess of a farm, all others made certain."""
    text = _any_farm(dice)
    guesses = list(_GUESS.finditer(text))
    kept = dice.randrange(len(guesses)) if guesses else -1
    parts, end = [], 0
    for k, match in enumerate(guesses):
        parts += [text[end : match.start()], match[0] if k == kept else match[1]]
        end = match.end()
    return "".join([*parts, text[end:]])


def _strange_name(dice: Random) -> str:
    text = _any_farm(dice)
    names = re.findall(r'(?m)^name = ("[^"\n]*")', text)
    return text.replace(dice.choice(names), dice.choice(NAMES)) if names else text


def _lines(dice: Random) -> str:
    """Lose, double or swap lines."""
    lines = _any_farm(dice).splitlines()
    for _ in range(dice.randint(1, 4)):
        one, other = dice.randrange(len(lines)), dice.randrange(len(lines))
        match dice.randrange(3):
            case 0:
                del lines[one]
            case 1:
                lines.insert(other, lines[one])
            case _:
                lines[one], lines[other] = lines[other], lines[one]
    return "\n".join(lines)


def _signs(dice: Random) -> str:
    """Type wrong signs into a file."""
    text = list(_any_farm(dice))
    for _ in range(dice.randint(1, 6)):
        place = dice.randrange(len(text))
        text[place] = dice.choice(
            ("", "\x00", '"', "[", "]", "=", "\n", "é", "\x1b", "9", "-", "#")
        )
    return "".join(text)


def _cut_off(dice: Random) -> str:
    text = _any_farm(dice)
    return text[: dice.randrange(len(text))]


@cache
def _demos() -> tuple[str, ...]:
    """Return the demo farms that stand alone."""
    texts = (path.read_text(encoding="utf-8") for path in sorted(SCENARIOS.glob("*.toml")))
    return tuple(text for text in texts if "\nextends" not in text)


def _any_farm(dice: Random) -> str:
    return dice.choice(_demos()) if dice.random() < 0.5 else _dense(dice)


KINDS: dict[str, Callable[[Random], str]] = {
    "dense farms": _dense,
    "one strange figure": _one_figure,
    "several strange figures": _several_figures,
    "tiny or huge throughout": _tiny_or_huge,
    "one guess left": _one_guess,
    "strange names": _strange_name,
    "lines lost or doubled": _lines,
    "wrong signs": _signs,
    "cut off": _cut_off,
}


def file_of(number: int) -> tuple[str, str]:
    """Return the kind and the text of a file from its number."""
    dice = Random(number)  # noqa: S311, nothing secret
    kind = list(KINDS)[number % len(KINDS)]
    return kind, KINDS[kind](dice)
