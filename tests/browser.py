"""A real browser for the tests of the page: Chromium without a window, by selenium. Nothing is fetched."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
DRIVER = shutil.which("chromedriver")
THERE = bool(CHROMIUM and DRIVER)
WHY = "there is no Chromium with its driver (Debian: chromium, chromium-driver)"


@contextmanager
def browser(
    *, wide: int = 900, high: int = 640, graphics: bool = True, scripts: bool = True
) -> Iterator[Any]:
    """A browser with an empty profile; without ``graphics`` it has no WebGL, without ``scripts`` it runs none."""
    from selenium import webdriver  # noqa: PLC0415 - only where there is a browser
    from selenium.webdriver.chrome.options import Options  # noqa: PLC0415
    from selenium.webdriver.chrome.service import Service  # noqa: PLC0415

    options = Options()
    words = [
        "--headless=new",
        "--no-sandbox",
        "--disable-dev-shm-usage",
        "--hide-scrollbars",
        f"--window-size={wide},{high}",
    ]
    words += (
        ["--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist"]
        if graphics
        else ["--disable-gpu", "--disable-3d-apis"]
    )
    for word in words:
        options.add_argument(word)
    if not scripts:
        setting = "profile.managed_default_content_settings.javascript"
        options.add_experimental_option("prefs", {setting: 2})
    assert CHROMIUM is not None
    options.binary_location = CHROMIUM
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    driver = webdriver.Chrome(options=options, service=Service(DRIVER))
    try:
        driver.set_page_load_timeout(120)
        driver.set_script_timeout(120)
        yield driver
    finally:
        driver.quit()


def opened(driver: Any, page: Path, behind: str = "") -> None:
    """Open a page from disk anew."""
    driver.get("about:blank")
    driver.get(page.as_uri() + behind)


def complaints(driver: Any) -> list[str]:
    """What the browser's console says of a page, since asked last."""
    return [
        entry["message"] for entry in driver.get_log("browser") if entry["level"] in {"SEVERE", "WARNING"}
    ]
