"""The page in a real Chromium: seen, heard, and used from the keyboard."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, expect

from tests import browsing, correcting, sounding
from voicedraft.correct.session import Session
from voicedraft.draft.write import read_review

Open = Callable[..., Page]


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    return {**browser_type_launch_args, "executable_path": browsing.chromium(), "args": browsing.ARGUMENTS}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return sounding.drafted(tmp_path)


@pytest.fixture
def address(folder: Path) -> Iterator[str]:
    with browsing.served(folder) as first:
        yield first


@pytest.fixture
def visit(browser: Browser, address: str) -> Iterator[Open]:
    """Opens the page in a window of its own; anything the browser complains of fails the test."""
    said: list[str] = []
    windows = []

    forgiven = ["409 (Conflict)"]

    def hear(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning") and not any(f in message.text for f in forgiven):
            said.append(message.text)

    def visit(forgive: str = "409 (Conflict)", **options: Any) -> Page:
        forgiven.append(forgive)
        context = browser.new_context(**{"viewport": {"width": 1280, "height": 860}, **options})
        windows.append(context)
        page = context.new_page()
        page.on("console", hear)
        page.on("pageerror", lambda error: said.append(str(error)))
        page.goto(address)
        page.locator("article.now").wait_for()
        return page

    yield visit
    for window in windows:
        window.close()
    assert said == []


def _until(page: Page, what: str) -> None:
    """Waits until an expression is true. Playwright's own waiting evaluates in the page, which the policy forbids."""
    for _ in range(200):
        if page.evaluate(what):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"never came true: {what}")


def _saved(page: Page, count: int) -> None:
    """The first rewritten words wait until the language models are loaded."""
    text = f"{count} correction{'' if count == 1 else 's'}, all saved"
    expect(page.locator("#saved")).to_have_text(text, timeout=60_000)


def _go(page: Page, passage: str) -> None:
    page.locator(f"#r-{passage} .text").click(position={"x": 2, "y": 8})
    expect(page.locator("article.now")).to_have_attribute("data-id", passage)
    page.keyboard.press("Escape")


def _label(page: Page, passage: str) -> str:
    return page.locator(f"#r-{passage} .label").inner_text()


def _played(page: Page, take: int) -> list[tuple[float, float]]:
    ranges: list[tuple[float, float]] = page.evaluate(
        """take => { const a = document.querySelector(`audio[data-take="${take}"]`);
        return Array.from({length: a.played.length}, (_, i) => [a.played.start(i), a.played.end(i)]) }""", take)
    return ranges


def test_the_page_shows_every_passage_with_time_section_stage_and_confidence(visit: Open) -> None:
    """All ten are there in order, the first to be looked at is current, the token is gone from the address."""
    page = visit()
    expect(page.locator("article")).to_have_count(10)
    expect(page.locator("article.now")).to_have_attribute("data-id", "p5")
    expect(page.locator("#r-p9 .meta")).to_contain_text("Draw and burn")
    expect(page.locator("#r-p9 .meta")).to_contain_text("afterwards")
    expect(page.locator("#r-p9 .meta")).to_contain_text("90 % sure")
    expect(page.locator("#r-p9 .time")).to_have_text("5:32")
    assert "token" not in page.url
    assert page.title() == "Fenwick Tollgate: correct the draft"


def test_a_key_plays_exactly_the_words_of_the_passage(visit: Open) -> None:
    """The recording is ready, sounded, and only between the passage's own times, a blink around them."""
    page = visit()
    _go(page, "p5")
    page.keyboard.press("Space")
    _until(page, "document.querySelector('audio')?.played.length > 0")
    _until(page, "document.querySelector('audio').paused")
    assert page.evaluate("document.querySelector('audio').readyState") == 4
    ((start, end),) = _played(page, 2)
    p = correcting.review().passages[4]
    base = correcting.review().takes[1].start
    assert start == pytest.approx(p.start - base, abs=0.15)
    assert end == pytest.approx(p.end - base, abs=0.35)


def test_chosen_words_are_played_alone(visit: Open) -> None:
    """With one word chosen, space plays that word and no more."""
    page = visit()
    _go(page, "p5")
    for key in ("ArrowRight", "ArrowRight", "ArrowRight"):
        page.keyboard.press(key)
    expect(page.locator(".w.on")).to_have_text("line")
    page.keyboard.press("Space")
    _until(page, "document.querySelector('audio')?.played.length > 0")
    _until(page, "document.querySelector('audio').paused")
    word = correcting.review().passages[4].words[2]
    base = correcting.review().takes[1].start
    ((start, end),) = _played(page, 2)
    assert start == pytest.approx(word.start - base, abs=0.15)
    assert end - start < 0.75


@pytest.mark.parametrize("take", [1, 2])
def test_opus_and_flac_both_sound(visit: Open, take: int) -> None:
    """Clicking a passage's time plays it from its own take."""
    page = visit()
    page.locator(f"#r-p{3 if take == 1 else 4} .time").click()
    _until(page, f"document.querySelector('audio[data-take=\"{take}\"]')?.played.length > 0")
    assert page.evaluate(f"document.querySelector('audio[data-take=\"{take}\"]').readyState") >= 2


def test_a_recording_that_was_changed_is_told_and_not_played(visit: Open, folder: Path) -> None:
    """The notice says which file and why."""
    path = folder.parent / "takes" / "take-02.flac"
    path.write_bytes(path.read_bytes() + b"x")
    page = visit(forgive="404 (Not Found)")
    _go(page, "p5")
    page.keyboard.press("Space")
    expect(page.locator("#notice")).to_contain_text("take-02.flac is not the recording")


def test_keys_reassign_section_and_stage_and_the_draft_on_disk_follows(visit: Open, folder: Path) -> None:
    """D makes it draw and burn of the third around it, 3 moves it to the final third; nothing is left unsaved."""
    page = visit()
    _go(page, "p5")
    page.keyboard.press("d")
    _saved(page, 1)
    expect(page.locator("#r-p5 .label")).to_have_text("Draw and burn")
    expect(page.locator("#r-p5 .stage")).to_have_text("first third")
    page.keyboard.press("3")
    _saved(page, 2)
    expect(page.locator("#r-p5 .stage")).to_have_text("final third")
    with Session(folder, write=False) as session:
        p = session.review.passages[4]
        assert (p.section, p.stage) == ("burn", "final")


def test_focus_stays_with_the_passage_while_it_is_corrected(visit: Open) -> None:
    """After each key the next key still reaches the same passage."""
    page = visit()
    _go(page, "p5")
    for n, key in enumerate("dsafx", start=1):
        page.keyboard.press(key)
        _saved(page, n)
        assert page.evaluate("document.activeElement.dataset.id") == "p5"
    assert _label(page, "p5") == "Left out (asides)"


def test_split_merge_and_undo_by_key(visit: Open) -> None:
    """The words part before the chosen one, join again, and each step can be undone and redone."""
    page = visit()
    _go(page, "p6")
    for _ in range(8):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("c")
    _saved(page, 1)
    expect(page.locator("article")).to_have_count(11)
    expect(page.locator("#r-p6-2 .text")).to_have_text("cocoa comes up.")
    page.keyboard.press("Control+z")
    _saved(page, 2)
    expect(page.locator("article")).to_have_count(10)
    page.keyboard.press("Control+y")
    _saved(page, 3)
    expect(page.locator("#r-p6 .text")).to_have_text("Second third, the cedar has gone and ")
    page.keyboard.press("m")
    _saved(page, 4)
    expect(page.locator("article")).to_have_count(10)
    expect(page.locator("#r-p6 .text")).to_have_text("Second third, the cedar has gone and cocoa comes up. ")


def test_words_are_rewritten_and_what_was_heard_stays_visible(visit: Open, folder: Path) -> None:
    """R opens a line with the chosen words; only those that differ are sent."""
    page = visit()
    _go(page, "p8")
    page.keyboard.press("r")
    page.keyboard.press("End")
    for _ in "broadleaf binder.":
        page.keyboard.press("Backspace")
    page.keyboard.type("corojo binder.")
    page.keyboard.press("Enter")
    _saved(page, 1)
    expect(page.locator("#r-p8")).to_contain_text("Heard: I would guess a broadleaf binder.")
    with Session(folder, write=False) as session:
        (event,) = session.contents.events
        assert (event.old["text"], event.new["text"]) == ("broadleaf", "corojo")
    page.keyboard.press("h")
    _saved(page, 2)
    expect(page.locator("#r-p8 .text")).to_have_text("I would guess a broadleaf binder. ")


def test_letters_typed_into_a_form_are_no_commands(visit: Open) -> None:
    """Writing “dmx” into a field corrects nothing."""
    page = visit()
    page.locator('[data-add="pairing"]').click()
    page.locator("#panel form input").fill("")
    page.keyboard.type("dmx undo")
    expect(page.locator("#panel form input")).to_have_value("dmx undo")
    _saved(page, 0)


def test_accepting_goes_on_and_the_list_to_look_at_first_empties(visit: Open) -> None:
    """N goes from one to the next; an accepted passage is checked."""
    page = visit()
    expect(page.locator(".looks li")).to_have_count(2)
    page.keyboard.press("Enter")
    _saved(page, 1)
    expect(page.locator("#r-p5 .sure")).to_have_text("checked")
    page.keyboard.press("n")
    expect(page.locator("article.now")).to_have_attribute("data-id", "p7")
    page.keyboard.press("x")
    _saved(page, 2)
    expect(page.locator(".looks li")).to_have_count(0)


def test_everything_is_there_again_after_a_reload(visit: Open) -> None:
    """A reload loses nothing, undo included."""
    page = visit()
    page.keyboard.press("d")
    _saved(page, 1)
    page.reload()
    page.locator("article.now").wait_for()
    assert _label(page, "p5") == "Draw and burn"
    page.locator("#undo").click()
    _saved(page, 2)
    assert _label(page, "p5") == "First third"


def test_the_later_of_two_windows_is_told_and_can_make_it_again(visit: Open) -> None:
    """Its correction is not lost: the notice says what changed, and one key makes it on top."""
    one, two = visit(), visit()
    _go(two, "p7")
    two.evaluate("window.stop()")
    _go(one, "p5")
    one.keyboard.press("d")
    _saved(one, 1)
    two.keyboard.press("x")
    expect(two.locator("#notice")).to_contain_text("corrected elsewhere meanwhile")
    expect(two.locator("#notice")).to_contain_text("Draw and burn, first third in place of First third")
    assert _label(two, "p5") == "Draw and burn"
    two.locator("#again").click()
    _saved(two, 2)
    assert _label(two, "p7") == "Left out (asides)"


def test_another_window_shows_what_was_corrected_here(visit: Open) -> None:
    """When it comes to the front it has the new state."""
    one, two = visit(), visit()
    one.keyboard.press("d")
    _saved(one, 1)
    two.evaluate("dispatchEvent(new Event('focus'))")
    _saved(two, 1)
    assert _label(two, "p5") == "Draw and burn"


def test_each_value_leads_to_its_words_and_plays_them(visit: Open) -> None:
    """Clicking a flavour goes to its passage with its words chosen, and sounds."""
    page = visit()
    page.locator('[data-key="second|cocoa"] .lead').click()
    expect(page.locator("article.now")).to_have_attribute("data-id", "p6")
    expect(page.locator(".w.on")).to_have_text(["cocoa", "comes", "up."])
    _until(page, "document.querySelector('audio')?.played.length > 0")


def test_values_of_every_kind_are_added_changed_and_removed(visit: Open, folder: Path) -> None:
    """Flavour, strength, fact, score and pairing, by their forms."""
    page = visit()
    _go(page, "p5")
    page.keyboard.press("+")
    form = page.locator("#panel form")
    form.locator('[data-name="term"]').fill("hay")
    form.locator("button.main").click()
    _saved(page, 1)
    page.locator('[data-key="foot|cedar"] .edit').click()
    form.locator('[data-name="intensity"]').select_option("dominant")
    form.locator("button.main").click()
    _saved(page, 2)
    page.locator('[data-key="foot|raisin"] .edit').click()
    form.get_by_role("button", name="Remove").click()
    _saved(page, 3)
    page.locator('[data-kind="strength"] .edit').click()
    form.locator('[data-name="high"]').select_option("4")
    form.locator("button.main").click()
    _saved(page, 4)
    page.locator('[data-key="binder"] .edit').click()
    form.locator('[data-name="guessed"]').uncheck()
    form.locator("button.main").click()
    _saved(page, 5)
    page.locator('[data-add="fact"]').click()
    form.locator('[data-name="name"]').select_option("price_single")
    form.locator('[data-name="amount"]').fill("9.5")
    form.locator('[data-name="currency"]').fill("gbp")
    form.locator("button.main").click()
    _saved(page, 6)
    page.locator('[data-kind="score"] .edit').click()
    form.locator('[data-name="value"]').fill("8.5")
    form.locator("button.main").click()
    _saved(page, 7)
    page.locator('[data-add="pairing"]').click()
    form.locator('[data-name="kind"]').select_option("food")
    form.locator('[data-name="value"]').fill("short rib")
    form.locator("button.main").click()
    _saved(page, 8)
    with Session(folder, write=False) as session:
        review = session.review
    flavours = {(d.stage, d.term): d.intensity for d in review.descriptors}
    assert flavours["first", "hay"] == "medium"
    assert flavours["foot", "cedar"] == "dominant"
    assert ("foot", "raisin") not in flavours
    assert review.strength["first"].high == 4
    assert not review.facts["binder"].guessed
    assert review.facts["price_single"].value == {"amount": 9.5, "currency": "GBP"}
    assert review.scores[0].value == 8.5
    assert review.pairings.food[0].value == "short rib"


def test_a_refused_value_keeps_its_form_and_says_why(visit: Open) -> None:
    """A twin is refused in a sentence; what was written is still there."""
    page = visit(forgive="422 (Unprocessable")
    page.locator('[data-add="score"]').click()
    form = page.locator("#panel form")
    form.locator('[data-name="value"]').fill("12")
    with page.expect_response("**/api/corrections") as answer:
        form.locator("button.main").click()
    assert answer.value.status == 422
    expect(page.locator("#notice")).to_contain_text("12 out of 10 is too high")
    expect(form.locator('[data-name="value"]')).to_have_value("12")


def test_any_correction_can_be_taken_back_from_the_list(visit: Open) -> None:
    """The earlier of two is undone; the later stays."""
    page = visit()
    _go(page, "p5")
    page.keyboard.press("d")
    _saved(page, 1)
    _go(page, "p7")
    page.keyboard.press("x")
    _saved(page, 2)
    page.locator("summary").click()
    page.locator(".done li", has_text="Draw and burn").get_by_role("button").click()
    _saved(page, 3)
    assert (_label(page, "p5"), _label(page, "p7")) == ("First third", "Left out (asides)")
    expect(page.locator(".done li.undone")).to_have_count(1)


def test_a_narrow_screen_has_everything_without_scrolling_sideways(visit: Open) -> None:
    """At 390 pixels the words come first, the values one tap away, and nothing is cut off."""
    page = visit(viewport={"width": 390, "height": 844}, has_touch=True)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    expect(page.locator("#panel")).to_be_hidden()
    page.locator("article.now .tools select").first.select_option("burn")
    _saved(page, 1)
    page.locator("#show-values").tap()
    expect(page.locator("#list")).to_be_hidden()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.locator('[data-key="second|cocoa"] .lead').tap()
    expect(page.locator("article.now")).to_have_attribute("data-id", "p6")
    expect(page.locator("article.now")).to_be_in_viewport()


def test_the_keyboard_alone_reaches_everything(visit: Open) -> None:
    """From the top, Tab passes every control once, the passages as one stop with the tools of the current one."""
    page = visit()
    page.evaluate("document.querySelector('.skip').focus()")
    seen: list[str] = []
    for _ in range(120):
        page.keyboard.press("Tab")
        name = page.evaluate("""() => { const a = document.activeElement;
            return a === document.body ? '' : (a.id || a.dataset.do || a.dataset.add || a.className || a.tagName) }""")
        if not name:
            break
        seen.append(name)
    for wanted in ("help", "take", "r-p5", "accept", "split", "merge", "aside", "write", "flavour", "descriptor",
                   "fact", "score", "pairing", "lead", "edit"):
        assert wanted in seen, wanted
    assert sum(s.startswith("r-p") for s in seen) == 1


def test_a_screen_reader_is_told_what_happened(visit: Open) -> None:
    """The live region says the correction; each passage is an article with its place in the whole."""
    page = visit()
    page.keyboard.press("d")
    expect(page.locator("#live")).to_have_text("passage at 5:16: Draw and burn, first third in place of First third")
    row = page.locator("#r-p5")
    assert row.get_attribute("aria-posinset") == "5"
    assert row.get_attribute("aria-setsize") == "10"
    expect(page.get_by_role("article", name="The burn line is straight")).to_be_visible()
    page.keyboard.press("ArrowRight")
    expect(page.locator("#live")).to_have_text("The")


@pytest.mark.parametrize("options", [
    {}, {"color_scheme": "dark"}, {"viewport": {"width": 390, "height": 844}},
    {"viewport": {"width": 390, "height": 844}, "color_scheme": "dark"}, {"forced_colors": "active"},
], ids=["wide", "wide-dark", "narrow", "narrow-dark", "forced-colours"])
def test_axe_finds_nothing(visit: Open, options: dict[str, Any]) -> None:
    """Every rule of axe-core, with words chosen, a form open, the values and the keys shown."""
    from axe_playwright_python.sync_playwright import Axe

    page = visit(**options)
    axe = Axe()

    def clean(state: str) -> None:
        results = axe.run(page).response
        found = [f"{v['id']}: {n['html'][:120]}" for v in results["violations"] for n in v["nodes"]]
        assert found == [], state

    page.keyboard.press("ArrowRight")
    clean("words chosen")
    page.keyboard.press("r")
    clean("writing")
    page.keyboard.press("Escape")
    page.locator("#show-values").dispatch_event("click")
    page.locator('[data-add="fact"]').click()
    page.locator("summary").click()
    clean("values")
    page.locator("#help").click()
    clean("keys")


def test_nothing_moves_for_those_who_asked_for_no_motion(visit: Open) -> None:
    """With prefers-reduced-motion no transition and no animation is left."""
    page = visit(reduced_motion="reduce")
    moving = page.evaluate("""() => [...document.querySelectorAll('*')].filter(e => { const s = getComputedStyle(e);
        return s.animationName !== 'none' || s.transitionDuration.split(',').some(d => parseFloat(d) > 0) }).length""")
    assert moving == 0


def test_spoken_markup_is_shown_as_it_was_said(browser: Browser, tmp_path: Path) -> None:
    """A session full of markup draws no element of it and runs nothing."""
    from voicedraft.draft.compose import compose
    from voicedraft.types import Descriptor, Fact, Reading

    nasty = "<img src=x onerror=window.hit=1> </p><script>window.hit=1</script>"
    transcript, passages = correcting.spoken((((nasty, "verdict", None), ("Bye <b>now</b>.", "aside", None)),))
    at = ("p1", 0, 2, nasty)
    reading = Reading(transcript, passages, (Descriptor(nasty, nasty, "first", "present", "hint", *at),),
                      facts={"cigar": Fact("cigar", nasty, *at)})
    folder = correcting.draft(tmp_path / "nasty", compose(reading, ("p1",)))
    with browsing.served(folder) as address:
        page = browser.new_page()
        page.goto(address)
        page.locator("article.now").wait_for()
        page.keyboard.press("v")
        _saved(page, 1)
        expect(page.locator("article.now .text")).to_have_text(nasty + " ")
        expect(page.locator("main img, main b:not(.take b), main script")).to_have_count(0)
        assert page.evaluate("window.hit") is None
        page.close()
    assert "<img" not in (folder / "review.html").read_text(encoding="utf-8")


def test_the_browser_runs_nothing_that_was_slipped_in(visit: Open) -> None:
    """Inline script, an event attribute and a foreign script are stopped by the policy."""
    page = visit(forgive="Content Security Policy")
    stopped = page.evaluate("""async () => {
        const seen = []; document.addEventListener('securitypolicyviolation', e => seen.push(e.effectiveDirective));
        const s = document.createElement('script'); s.textContent = 'window.hit = 1'; document.body.append(s);
        const d = document.createElement('div'); d.innerHTML = '<button onclick="window.hit = 2">x</button>';
        document.body.append(d); d.firstChild.click();
        await fetch('http://127.0.0.2/').catch(() => {});
        await new Promise(done => setTimeout(done, 300));
        return [seen, window.hit ?? null] }""")
    assert set(stopped[0]) >= {"script-src-elem", "script-src-attr", "connect-src"}
    assert stopped[1] is None


def test_six_hundred_passages_are_all_there_and_stay_usable(browser: Browser, tmp_path: Path) -> None:
    """Two hours of speech: rows off the screen are not laid out, and keys act at the end as at the start."""
    rows = [correcting.SECOND_TAKE[n % 7] for n in range(600)]
    from voicedraft.draft.compose import compose
    from voicedraft.types import Reading

    transcript, passages = correcting.spoken([rows[n : n + 60] for n in range(0, 600, 60)])
    folder = correcting.draft(tmp_path / "long", compose(Reading(transcript, passages)))
    with browsing.served(folder) as address:
        page = browser.new_page()
        page.goto(address)
        page.locator("article.now").wait_for()
        expect(page.locator("article")).to_have_count(600)
        page.keyboard.press("End")
        expect(page.locator("article.now")).to_have_attribute("data-id", "p600")
        expect(page.locator("article.now")).to_be_in_viewport()
        page.keyboard.press("x")
        _saved(page, 1)
        skipped = page.evaluate(
            "document.querySelector('#r-p300 .text').checkVisibility({contentVisibilityAuto: true})")
        assert skipped is False
        page.close()
    assert read_review(folder / "review.json").passages[-1].section == "aside"
    assert json.loads((folder / "corrections.jsonl").read_text(encoding="utf-8"))["what"] == "passage.aside"
