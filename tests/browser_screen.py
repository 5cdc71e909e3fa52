"""A browser page over a running dashboard, as tests read it: one object, steps of a user."""

import json
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import Error as PlaywrightError

SCENARIOS = Path(__file__).parents[1] / "scenarios"
AXE = Path(__file__).with_name("browser") / "axe.min.js"
UNDER_WAY = AXE.with_name("under_way.js")
CHROMIUM = Path("/usr/bin/chromium")
UNDIMMED = "!document.body.matches('.settling, .working') && !document.querySelector('.greyed')"
# One process draws all pages of a server, so that scripts are read and compiled once.
FLAGS = [
    "--process-per-site",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@dataclass
class Served:
    """A running dashboard on copies of the demo farms."""

    address: str
    folder: Path


@dataclass
class Screen:
    """One browser page with what it complained of and what it asked of the outside."""

    page: Any
    served: Served
    complaints: list[str] = field(default_factory=list)
    outside: list[str] = field(default_factory=list)

    def open(self, path: str = "", farm: str = "quillmere.toml") -> None:
        """Open a page with a farm; a path with a question mark names its own."""
        self.page.goto(self.served.address + path + ("" if "?" in path else f"?farm={farm}"))
        self.page.wait_for_selector("nav a.here")
        self.until("document.getElementById('head-verdict').textContent !== ''")

    def go(self, name: str) -> None:
        self.page.click(f"nav >> text={name}")
        self.page.wait_for_selector(f"nav a.here >> text={name}")

    def goes_to(self, path: str) -> None:
        """Change pages as a link does, and wait until the other one has been drawn."""
        turn = "path => window.dash_clientside.set_props('url', {pathname: path})"
        self.page.evaluate(turn, path)
        self.until(f"document.querySelector('nav a.here')?.getAttribute('href') === '{path}'")
        self.rests()

    def text(self, selector: str) -> str:
        return str(self.page.inner_text(selector))

    def until(self, script: str, seconds: float = 25.0) -> None:
        """Wait in the page until a script is true, also over pages that load meanwhile."""
        self._waits(f"underWay.until(() => {script}", script, seconds)

    def _waits(self, begun: str, what: str, seconds: float) -> None:
        end = time.monotonic() + seconds
        while True:
            left = max(end - time.monotonic(), 0.0)
            try:
                done = self.page.evaluate(f"{begun}, {1000 * left})")
            except PlaywrightError as error:
                # The page that waited is gone; the next one is asked.
                if "context was destroyed" not in str(error):
                    raise
                continue
            assert done, f"{what}; complaints: {self.complaints}"
            return

    def becomes(self, selector: str, words: str) -> None:
        """Wait until an element's text holds some words."""
        self.until(
            f"(document.querySelector({json.dumps(selector)})?.innerText || '')"
            f".includes({json.dumps(words)})"
        )

    def differs(self, selector: str, words: str) -> None:
        """Wait until an element's text is another."""
        self.until(
            f"document.querySelector({json.dumps(selector)}).innerText !== {json.dumps(words)}"
        )

    def choose_farm(self, name: str) -> None:
        self.page.select_option("#file-choice", name)
        self.becomes("#said", f"Opened {name}")

    def rests(self, script: str = UNDIMMED, seconds: float = 25.0) -> None:
        """Wait until the page has nothing more to do and a script is true.

        Left out, nothing may be dimmed as being worked out.
        """
        self._waits(f"underWay.rests(() => {script}", f"at rest, {script}", seconds)

    def faults_of_axe(self, rules: tuple[str, ...] = ()) -> list[str]:
        """Return what axe finds, by all of its rules or by some."""
        self.rests()
        if not self.page.evaluate("'axe' in window"):
            self.page.evaluate(AXE.read_text(encoding="utf-8"))
        # Left to itself, axe leaves these out.
        more = {rule: {"enabled": True} for rule in ("target-size", "css-orientation-lock")}
        chosen = {"runOnly": list(rules)} if rules else {"rules": more}
        asked = {"resultTypes": ["violations"], **chosen}
        result = self.page.evaluate("asked => axe.run(document, asked)", asked)
        return [
            f"{row['id']}: {node['target']} {node['failureSummary'][:200]}"
            for row in result["violations"]
            for node in row["nodes"][:3]
        ]


def screen_of(
    browser: Any, served: Served, width: int = 1280, height: int = 900, scheme: str = "light"
) -> Screen:
    """Return a page of its own size and scheme."""
    context = browser.new_context(viewport={"width": width, "height": height}, color_scheme=scheme)
    return watched(context.new_page(), served)


def watched(page: Any, served: Served) -> Screen:
    """Note what a page complains of and whom it asks."""
    page.set_default_timeout(15_000)
    page.add_init_script(path=UNDER_WAY)
    screen = Screen(page, served)

    def heard(message: Any) -> None:
        if message.type in ("error", "warning"):
            screen.complaints.append(message.text)

    def asked(request: Any) -> None:
        if not request.url.startswith((served.address, "data:", "blob:")):
            screen.outside.append(request.url)

    page.on("console", heard)
    page.on("pageerror", lambda error: screen.complaints.append(str(error)))
    page.on("request", asked)
    return screen
