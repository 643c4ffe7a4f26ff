"""How fluid the page stays in a long session: two hours, 600 passages, in a real Chromium.

    python -m benchmarks.page [--passages N]

Prints the median of several tries of each: from opening to the first passage, from a key to the corrected passage on
the screen and on the disk, the longest frame while scrolling through everything, and words written anew.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Page, expect, sync_playwright

from tests import browsing, correcting
from voicedraft.draft.compose import compose
from voicedraft.types import Reading

TRIES = 9
FRAMES = """async () => {
  const gaps = []; let last = performance.now(); let y = 0;
  while (y < document.documentElement.scrollHeight) {
    scrollTo(0, y); y += 900;
    await new Promise((done) => requestAnimationFrame(done));
    const now = performance.now(); gaps.push(now - last); last = now;
  }
  scrollTo(0, 0);
  gaps.sort((a, b) => a - b);
  return [gaps[Math.floor(gaps.length / 2)], gaps[Math.floor(gaps.length * 0.95)], gaps[gaps.length - 1]];
}"""


def draft(folder: Path, count: int) -> Path:
    """A session of `count` passages in takes of 60."""
    rows = [correcting.SECOND_TAKE[n % 7] for n in range(count)]
    transcript, passages = correcting.spoken([rows[n : n + 60] for n in range(0, count, 60)])
    return correcting.draft(folder, compose(Reading(transcript, passages)))


def until_saved(page: Page, count: int, act: Callable[[], object]) -> float:
    """Milliseconds from a key to everything being saved and shown."""
    start = time.perf_counter()
    act()
    expect(page.locator("#saved")).to_contain_text(f"{count} correction", timeout=120_000)
    return (time.perf_counter() - start) * 1000


def measure(count: int, say: Callable[[str], None]) -> None:
    """Prints the figures."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browsing.chromium(), args=browsing.ARGUMENTS)
        with browsing.served(draft(Path(folder) / "draft", count)) as address:
            page = browser.new_page(viewport={"width": 1280, "height": 860})
            start = time.perf_counter()
            page.goto(address)
            page.locator("article.now").wait_for()
            say(f"{count} passages: opened in {(time.perf_counter() - start) * 1000:.0f} ms")
            made, times = 0, []
            for key in ("v", "d") * TRIES:
                made += 1
                times.append(until_saved(page, made, lambda key=key: page.keyboard.press(key)))  # type: ignore[misc]
            say(f"section by key: median {statistics.median(times):.0f} ms, longest {max(times):.0f} ms")
            middle, most, longest = page.evaluate(FRAMES)
            say(f"scrolling: median frame {middle:.0f} ms, 95 in 100 under {most:.0f} ms, longest {longest:.0f} ms")
            times = []
            for word in ("cedar", "cocoa", "leather", "coffee"):
                page.keyboard.press("r")
                page.keyboard.type(f"I get {word} now.")
                made += 1
                times.append(until_saved(page, made, lambda: page.keyboard.press("Enter")))
            say(f"words written anew: first {times[0]:.0f} ms, then median {statistics.median(times[1:]):.0f} ms")
        browser.close()


def main() -> int:
    """Reads the arguments."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--passages", type=int, default=600)
    measure(parser.parse_args().passages, lambda line: print(line, flush=True))
    return 0


if __name__ == "__main__":
    sys.exit(main())
