"""A server in a thread and a browser that is driven, for the tests and the picture in README.md."""

from __future__ import annotations

import shutil
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import uvicorn
from axe_core_python.selenium import Axe
from selenium import webdriver
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By
from selenium.webdriver.support.ui import WebDriverWait

from diagnose.bench import Bench
from diagnose.casebook.store import Casebook
from diagnose.web.guard import Guard, hosts_at
from diagnose.web.pages import Pages
from diagnose.web.walks import Walks

BROWSER, DRIVER = (shutil.which(name) for name in ("chromium", "chromedriver"))

PHONE, DESK = (390, 844), (1280, 900)
PATIENCE = 30
"""Seconds for a page on a loaded machine."""


@contextmanager
def served(folder: Path, bench: Bench) -> Iterator[tuple[str, Walks]]:
    """The address of a server in a thread, and its walks."""
    walks = Walks(Casebook(folder), {"bowser": bench.rig}, lambda rig, own: bench)
    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    port = listening.getsockname()[1]
    guarded = Guard(Pages.of(walks).app(), hosts_at(["127.0.0.1"], port))
    server = uvicorn.Server(uvicorn.Config(guarded, log_level="error"))
    running = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
    running.start()
    try:
        yield f"http://127.0.0.1:{port}", walks
    finally:
        server.should_exit = True
        running.join()


@contextmanager
def browser(size: tuple[int, int], scripts: bool = True) -> Iterator[Any]:
    chosen = webdriver.ChromeOptions()
    chosen.binary_location = BROWSER
    for one in (
        "--headless=new",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-dev-shm-usage",
        "--hide-scrollbars",
    ):
        chosen.add_argument(one)
    if not scripts:
        off = {"profile.managed_default_content_settings.javascript": 2}
        chosen.add_experimental_option("prefs", off)
    made = webdriver.Chrome(options=chosen, service=Service(DRIVER))
    try:
        made.set_window_size(*size)
        yield made
    finally:
        made.quit()


def press(driver: Any, css: str, number: int = 0) -> None:
    """Press a button or follow a link, and wait for the page that it leads to."""
    before = driver.find_element(By.TAG_NAME, "html").id
    driver.find_elements(By.CSS_SELECTOR, css)[number].click()
    WebDriverWait(driver, PATIENCE).until(
        lambda one: (
            one.find_element(By.TAG_NAME, "html").id != before
            and one.find_elements(By.TAG_NAME, "h1")
        )
    )


def heading(driver: Any) -> str:
    return str(driver.find_element(By.TAG_NAME, "h1").text)


def begun(driver: Any, address: str) -> None:
    """A walk with a complaint in words."""
    driver.get(address)
    press(driver, "main form button")
    driver.find_element(By.ID, "words").send_keys("the relay chatters")
    press(driver, "form > button")
    assert heading(driver) == "Is this right?"
    press(driver, "form > button")


def answer(driver: Any) -> None:
    """The question that stands, with its first answer or a reading."""
    if found := driver.find_elements(By.ID, "answer"):
        found[0].send_keys("12.1 V" if "voltage" in heading(driver) else "1")
        press(driver, "#answer ~ button")
    else:
        press(driver, "button.answer")


def faults(driver: Any) -> list[str]:
    """What the checker finds wrong with a page."""
    found = Axe().run(driver, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]})
    return [f"{one['id']}: {one['nodes'][0]['html'][:120]}" for one in found["violations"]]


def wider_than_the_screen(driver: Any) -> int:
    script = "return document.documentElement.scrollWidth - document.documentElement.clientWidth"
    return int(driver.execute_script(script))
