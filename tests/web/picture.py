"""The picture of a question in README.md: python -m tests.web.picture (takes Chromium)"""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from selenium.webdriver.common.by import By

from tests.once import bench
from tests.web.driving import PHONE, begun, browser, press, served

FILE = Path(__file__).parent / "question.png"
TALL = 1400
"""Dots from top to bottom, more than a phone has, so that the whole question is on it."""


def main() -> None:
    """Begin a walk, pick a voltage to measure, and take the screen."""
    shop = TemporaryDirectory()
    with shop as folder, served(Path(folder), bench("bowser")) as (address, _):
        with_probes = "a[href*='ask=voltage']"
        with browser(PHONE) as driver:
            begun(driver, address)
            if not driver.find_elements(By.ID, "answer"):
                press(driver, "a[href$='/why']")
                press(driver, with_probes)
            driver.set_window_size(PHONE[0], TALL)
            driver.save_screenshot(str(FILE))
    print(f"Written: {FILE}")


if __name__ == "__main__":
    main()
