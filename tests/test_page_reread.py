"""Rewriting a misheard word brings its value: on the page in a real Chromium, and typed into the terminal."""

from __future__ import annotations

import io
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect
from rich.console import Console

from tests import browsing, correcting
from voicedraft.correct.reread import Reader
from voicedraft.correct.session import Session
from voicedraft.correct.terminal import Terminal
from voicedraft.draft.write import read_review


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    return {**browser_type_launch_args, "executable_path": browsing.chromium(), "args": browsing.ARGUMENTS}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return correcting.draft(tmp_path / "draft", correcting.really_read())


@pytest.fixture
def page(browser: Browser, folder: Path) -> Iterator[Page]:
    with browsing.served(folder) as address:
        page = browser.new_page(viewport={"width": 1280, "height": 860})
        page.goto(address)
        page.locator("article.now").wait_for()
        yield page
        page.close()


def _rewrite(page: Page, within: str, old: str, new: str) -> None:
    """From the keyboard: R opens the line with the whole passage, the word is changed in it, Enter sends it."""
    page.locator("article", has_text=within).locator(".text").click(position={"x": 2, "y": 8})
    page.keyboard.press("Escape")
    page.keyboard.press("r")
    pen = page.locator("#pen")
    pen.fill(pen.input_value().replace(old, new))
    page.keyboard.press("Enter")


def test_a_fixed_word_brings_its_flavour_and_a_fixed_price_its_price(page: Page, folder: Path) -> None:
    """The panel and the notice show them at once, the draft on the disk follows, and undo takes them back."""
    panel, saved = page.locator("#panel"), page.locator("#saved")
    expect(panel).not_to_contain_text("cocoa")
    _rewrite(page, "coco comes", "coco", "cocoa")
    expect(saved).to_have_text("1 correction, all saved", timeout=60_000)
    expect(panel.locator("[data-key='second|cocoa']")).to_contain_text("clear")
    expect(panel.locator("[data-key='second|coco']")).to_have_count(0)
    expect(page.locator("#notice")).to_contain_text("read from them: cocoa (second third, clear)")
    _rewrite(page, "nine tea", "nine tea", "ninety")
    expect(saved).to_have_text("2 corrections, all saved", timeout=60_000)
    expect(panel.locator("[data-key='price_single']")).to_contain_text("90")
    panel.locator("[data-key='price_single'] .lead").click()
    expect(page.locator("article.now")).to_contain_text("ninety dollars")
    page.keyboard.press("Escape")
    page.reload()
    expect(panel.locator("[data-key='price_single']")).to_contain_text("90")
    page.locator("#undo").click()
    expect(panel.locator("[data-key='price_single']")).to_have_count(0)
    page.locator("#undo").click()
    expect(panel.locator("[data-key='second|coco']")).to_have_count(1)
    expect(panel.locator("[data-key='second|cocoa']")).to_have_count(0)
    page.locator("#redo").click()
    expect(panel.locator("[data-key='second|cocoa']")).to_have_count(1)


def test_new_words_are_shown_before_their_values_are_read(page: Page, monkeypatch: pytest.MonkeyPatch) -> None:
    """While the readers are at work the words stand there already; where the correction is refused they go again."""
    wait, read = threading.Event(), Reader.read

    def slowly(*arguments: Any) -> Any:
        wait.wait(60)
        return read(*arguments)

    monkeypatch.setattr(Reader, "read", slowly)
    _rewrite(page, "coco comes", "coco", "cocoa")
    expect(page.locator("#saved")).to_have_text("Saving…")
    expect(page.locator("article.now .text")).to_contain_text("and cocoa comes in.")
    page.keyboard.press("ArrowDown")
    expect(page.locator("article.now .text")).to_contain_text("nine out of ton")
    wait.set()
    expect(page.locator("#saved")).to_have_text("1 correction, all saved", timeout=60_000)
    _rewrite(page, "nine tea", "nine", "\u0007")
    expect(page.locator("#notice")).to_contain_text("cannot be printed")
    expect(page.locator("article.now .text")).to_contain_text("I paid nine tea dollars")


def test_a_price_set_by_hand_stays_when_its_words_are_fixed(page: Page) -> None:
    """The reviewer's own value is not overwritten, and the page does not claim to have read another."""
    panel = page.locator("#panel")
    page.locator("article", has_text="nine tea").locator(".text").click(position={"x": 2, "y": 8})
    page.keyboard.press("Escape")
    panel.locator("[data-add='fact']").click()
    form = panel.locator("form")
    form.locator("select").first.select_option("price_single")
    form.get_by_label("Amount").fill("15")
    form.get_by_label("Currency").fill("EUR")
    form.get_by_label("Currency").press("Enter")
    expect(panel.locator("[data-key='price_single']")).to_contain_text("15")
    _rewrite(page, "nine tea", "nine tea", "ninety")
    expect(page.locator("#saved")).to_have_text("2 corrections, all saved", timeout=60_000)
    expect(panel.locator("[data-key='price_single']")).to_contain_text("15")
    expect(page.locator("#notice")).to_be_hidden()


def test_the_terminal_tells_what_the_new_words_brought(folder: Path) -> None:
    """`fix` prints the values that came and went, and they stand in the draft."""
    printed = io.StringIO()
    typed = iter(["5", "fix 8 8", "cocoa", "2", "fix 3 4", "ninety", "u", "q"])

    class Silent:
        def play(self, blocks: object) -> None:
            raise AssertionError("nothing was to be played")

    with Session(folder) as session:
        Terminal(session, Console(file=printed, width=200), Silent(), lambda question, default: next(typed)).run()
    text = printed.getvalue()
    assert "read from them: cocoa (second third, clear); gone: coco (second third, clear)" in text
    assert "in place of “nine tea”; read from them: price" in text
    review = read_review(folder / "review.json")
    assert {d.term for d in review.descriptors if d.stage == "second" and d.status == "present"} == {"cocoa"}
    assert "price_single" not in review.facts
