"""A real browser for the tests: Chromium through its own driver, kept off the network.

Selenium is the lightest well-kept way: it drives the Chromium and the driver that a system's
packages bring and downloads nothing. On a machine without them the tests are skipped with a word,
or fail where ``PLANNER_BROWSER_TESTS=required`` says that they must run.
"""

import base64
import json
import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

REQUIRED_VARIABLE = "PLANNER_BROWSER_TESTS"
MODULES_VARIABLE = "PLANNER_NODE_MODULES"
SWITCHES = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--hide-scrollbars",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
A4 = (210 / 25.4, 297 / 25.4)
LETTER = (8.5, 11.0)


def missing(what: str) -> None:
    """Skip the test for want of a tool, or fail where the tool is required."""
    if os.environ.get(REQUIRED_VARIABLE) == "required":
        pytest.fail(f"{what} is missing, and {REQUIRED_VARIABLE} says that it is required")
    pytest.skip(f"{what} is missing on this machine")


def program(*names: str) -> str:
    """Return the path of the first of these programs that is there."""
    for name in names:
        if found := shutil.which(name):
            return found
    missing(names[0])
    raise AssertionError


def node_module(path: str) -> Path:
    """Return a file of a node module, from the folder that the variable names or from ``.ci``."""
    named = os.environ.get(MODULES_VARIABLE)
    folder = Path(named) if named else Path(__file__).parents[2] / ".ci" / "node_modules"
    if not (folder / path).is_file():
        missing(f"{path} in {MODULES_VARIABLE} or .ci/node_modules")
    return folder / path


class Browser:
    """What the tests do with a page in a browser."""

    def __init__(self, driver: Any) -> None:
        self.driver = driver

    def show(
        self,
        page: Path,
        *,
        width: int = 1000,
        height: int = 844,
        scheme: str = "light",
        scale: float = 1.0,
    ) -> None:
        """Open a page of a folder at a width in CSS pixels, in the light or dark scheme.

        ``scale`` is how many pixels of the screen make one of them.
        """
        self._ask(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=scale,
            mobile=False,
        )
        self._ask(
            "Emulation.setEmulatedMedia",
            features=[{"name": "prefers-color-scheme", "value": scheme}],
        )
        self.driver.get(page.as_uri())

    def run(self, script: str, *given: Any) -> Any:
        """Return what a script in the page returns."""
        return self.driver.execute_script(script, *given)

    def axe(self) -> list[str]:
        """Return what axe finds against the WCAG 2.2 A and AA rules and its best practices."""
        source = node_module("axe-core/axe.min.js").read_text(encoding="utf-8")
        # Through the debugger: the page's own policy refuses scripts, as it should.
        self._ask("Runtime.evaluate", expression=source)
        tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
        asked = f"axe.run({{runOnly: {json.dumps(tags)}}}).then(r => JSON.stringify(r.violations))"
        answer = self._ask(
            "Runtime.evaluate", expression=asked, awaitPromise=True, returnByValue=True
        )
        return [
            f"{found['id']}: {found['help']}: {node['html'][:200]}"
            for found in json.loads(answer["result"]["value"])
            for node in found["nodes"]
        ]

    def requests(self) -> list[str]:
        """Return the addresses asked for since this was last called."""
        sent = (json.loads(entry["message"]) for entry in self.driver.get_log("performance"))
        return [
            entry["message"]["params"]["request"]["url"]
            for entry in sent
            if entry["message"]["method"] == "Network.requestWillBeSent"
        ]

    def console(self) -> list[str]:
        """Return what was written to the console since this was last called."""
        return [entry["message"] for entry in self.driver.get_log("browser")]

    def printed(self, path: Path, size: tuple[float, float]) -> list[str]:
        """Print the page to a PDF of that size [inch] and return the text of its sheets."""
        answer = self._ask(
            "Page.printToPDF", paperWidth=size[0], paperHeight=size[1], printBackground=False
        )
        path.write_bytes(base64.b64decode(answer["data"]))
        told = subprocess.run(
            [program("pdftotext"), "-layout", str(path), "-"],
            check=True,
            capture_output=True,
            encoding="utf-8",
        )
        return told.stdout.rstrip("\f").split("\f")

    def _ask(self, command: str, **given: Any) -> Any:
        return self.driver.execute_cdp_cmd(command, given)


@contextmanager
def open_browser() -> Iterator[Browser]:
    """Start Chromium and stop it in the end."""
    try:
        from selenium import webdriver
        from selenium.webdriver.chrome.service import Service
    except ImportError:
        missing("selenium")
    options = webdriver.ChromeOptions()
    options.binary_location = program("chromium", "chromium-browser", "google-chrome")
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    for switch in SWITCHES:
        options.add_argument(switch)
    driver = webdriver.Chrome(options=options, service=Service(program("chromedriver")))
    try:
        yield Browser(driver)
    finally:
        driver.quit()
