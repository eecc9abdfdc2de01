"""The pages in a real browser: on a phone and a desk, without scripts, by keys alone, and looked
over by a checker of accessibility (axe-core, rules of WCAG 2.1 A and AA)."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import WebDriverWait

from diagnose.bench import Bench
from diagnose.web.walks import Walks
from tests.web.driving import (
    BROWSER,
    DESK,
    DRIVER,
    PATIENCE,
    PHONE,
    answer,
    begun,
    browser,
    faults,
    heading,
    press,
    served,
    wider_than_the_screen,
)

pytestmark = pytest.mark.skipif(not (BROWSER and DRIVER), reason="no chromium with its driver here")


@pytest.fixture(scope="module")
def site(
    tmp_path_factory: pytest.TempPathFactory, bench_of: Callable[[str], Bench]
) -> Iterator[tuple[str, Walks]]:
    """The address of a server, and its walks."""
    with served(tmp_path_factory.mktemp("shop") / "cases", bench_of("bowser")) as found:
        yield found


@pytest.fixture(scope="module")
def driver() -> Iterator[Any]:
    """One browser for all that need scripts."""
    with browser(PHONE) as made:
        yield made


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
