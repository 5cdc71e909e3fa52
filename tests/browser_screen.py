"""A browser page over a running dashboard, as tests read it: one object, steps of a user."""

import json
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

SCENARIOS = Path(__file__).parents[1] / "scenarios"
AXE = Path(__file__).with_name("browser") / "axe.min.js"
CHROMIUM = Path("/usr/bin/chromium")
# One process draws all pages of a server, so that scripts are read and compiled once.
FLAGS = [
    "--process-per-site", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip


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

    def text(self, selector: str) -> str:
        return str(self.page.inner_text(selector))

    def until(self, script: str, seconds: float = 25.0) -> None:
        """Wait until a script is true; the pages' policy forbids the browser's own waiting."""
        end = time.monotonic() + seconds
        while not self.page.evaluate(script):
            assert time.monotonic() < end, f"{script}; complaints: {self.complaints}"
            self.page.wait_for_timeout(20)

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

    def rests(self) -> None:
        """Wait until nothing is dimmed because it is being worked out."""
        self.until(
            "!document.body.matches('.settling, .working') && !document.querySelector('.greyed')"
        )

    def faults_of_axe(self, rules: tuple[str, ...] = ()) -> list[str]:
        """Return what axe finds, by all of its rules or by some."""
        self.rests()
        if not self.page.evaluate("'axe' in window"):
            self.page.evaluate(AXE.read_text(encoding="utf-8"))
        asked = {"resultTypes": ["violations"], **({"runOnly": list(rules)} if rules else {})}
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
