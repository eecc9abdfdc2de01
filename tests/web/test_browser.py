"""The pages in a real browser: on a phone and a desk, without scripts, by keys alone, and looked
over by a checker of accessibility (axe-core, rules of WCAG 2.1 A and AA)."""

from __future__ import annotations

import shutil
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
import uvicorn

from diagnose.bench import Bench
from diagnose.casebook.store import Casebook
from diagnose.web.guard import Guard, hosts_at
from diagnose.web.pages import Pages
from diagnose.web.walks import Walks

webdriver = pytest.importorskip("selenium.webdriver")
from axe_core_python.selenium import Axe  # noqa: E402
from selenium.webdriver.chrome.service import Service  # noqa: E402
from selenium.webdriver.common.by import By  # noqa: E402
from selenium.webdriver.common.keys import Keys  # noqa: E402
from selenium.webdriver.support.ui import WebDriverWait  # noqa: E402

BROWSER, DRIVER = (shutil.which(name) for name in ("chromium", "chromedriver"))
pytestmark = pytest.mark.skipif(not (BROWSER and DRIVER), reason="no chromium with its driver here")

PHONE, DESK = (390, 844), (1280, 900)
PATIENCE = 30
"""Seconds for a page on a loaded machine."""


@pytest.fixture(scope="module")
def site(
    tmp_path_factory: pytest.TempPathFactory, bench_of: Callable[[str], Bench]
) -> Iterator[tuple[str, Walks]]:
    """The address of a server in a thread, and its walks."""
    bench = bench_of("bowser")
    folder = tmp_path_factory.mktemp("shop") / "cases"
    walks = Walks(Casebook(folder), {"bowser": bench.rig}, lambda rig, own: bench)
    listening = socket.socket()
    listening.bind(("127.0.0.1", 0))
    port = listening.getsockname()[1]
    guarded = Guard(Pages.of(walks).app(), hosts_at(["127.0.0.1"], port))
    server = uvicorn.Server(uvicorn.Config(guarded, log_level="error"))
    running = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
    running.start()
    yield f"http://127.0.0.1:{port}", walks
    server.should_exit = True
    running.join()


@contextmanager
def browser(size: tuple[int, int], scripts: bool = True) -> Iterator[Any]:
    chosen = webdriver.ChromeOptions()
    chosen.binary_location = BROWSER
    for one in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"):
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


@pytest.fixture(scope="module")
def driver() -> Iterator[Any]:
    """One browser for all that need scripts."""
    with browser(PHONE) as made:
        yield made


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


@pytest.mark.parametrize("size", [PHONE, DESK])
def test_from_complaint_to_a_closed_case(
    size: tuple[int, int], site: tuple[str, Walks], driver: Any
) -> None:
    address, walks = site
    driver.set_window_size(*size)
    begun(driver, address)
    for _ in range(2):
        assert faults(driver) == []
        assert wider_than_the_screen(driver) <= 0
        answer(driver)
    press(driver, "a[href$='end=yes']")
    for one in driver.find_elements(By.TAG_NAME, "summary"):
        one.click()
    assert faults(driver) == []
    assert wider_than_the_screen(driver) <= 0
    driver.find_element(By.CSS_SELECTOR, "[name=cause]").send_keys("Motor seized")
    driver.find_element(By.CSS_SELECTOR, "[name=by-part]").click()
    press(driver, "form[action$='/other'] button")
    assert "closed" in driver.find_element(By.TAG_NAME, "main").text
    case = walks.casebook.load(driver.current_url.rsplit("/", 1)[-1])
    assert (case.status, case.true_cause) == ("closed", "motor-seized")
    for place in ("/", "/cases", "/review"):
        driver.get(address + place)
        assert faults(driver) == []


def test_without_scripts(site: tuple[str, Walks]) -> None:
    with browser(PHONE, scripts=False) as driver:
        begun(driver, site[0])
        first = heading(driver)
        answer(driver)
        assert heading(driver) != first
        press(driver, "form[action$='/back'] button")
        assert heading(driver) == first


def test_by_keys_alone(site: tuple[str, Walks], driver: Any) -> None:
    """Tab reaches every answer in the order of the page, and Enter sends it."""
    begun(driver, site[0])
    first, wanted = heading(driver), driver.find_elements(By.CSS_SELECTOR, "button.answer")
    reached = None
    for _ in range(60):
        driver.switch_to.active_element.send_keys(Keys.TAB)
        reached = driver.switch_to.active_element
        if wanted and reached == wanted[0]:
            break
        if reached.get_attribute("id") == "answer":
            reached.send_keys("12.1 V")
            break
    assert reached is not None
    before = driver.find_element(By.TAG_NAME, "html").id
    reached.send_keys(Keys.ENTER)
    WebDriverWait(driver, PATIENCE).until(
        lambda one: one.find_element(By.TAG_NAME, "html").id != before
    )
    assert heading(driver) != first


def test_two_tabs_on_one_walk(site: tuple[str, Walks], driver: Any) -> None:
    begun(driver, site[0])
    walk, first = driver.current_url, driver.current_window_handle
    driver.switch_to.new_window("tab")
    driver.get(site[0])
    listed = [link.get_attribute("href") for link in driver.find_elements(By.CSS_SELECTOR, "a")]
    assert walk in listed
    driver.get(walk)
    answer(driver)
    driver.close()
    driver.switch_to.window(first)
    answer(driver)
    assert "has gone on since this page was made" in driver.page_source


def test_a_stop_is_the_first_thing_on_the_screen(site: tuple[str, Walks], driver: Any) -> None:
    driver.set_window_size(*PHONE)
    driver.get(f"{site[0]}/begin?rig=bowser")
    driver.find_element(By.ID, "words").send_keys("the fuse holder is too hot to hold")
    press(driver, "form > button")
    press(driver, "form > button")
    stop = driver.find_element(By.CSS_SELECTOR, ".stop h2")
    assert stop.location["y"] < PHONE[1] / 2
    assert faults(driver) == []
