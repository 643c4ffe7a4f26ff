"""The cue rules see what they should and stay silent where they should."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from voicedraft.read.sections.cues import RULES, find

GOLDEN = Path(__file__).resolve().parent / "golden"


def cases(name: str) -> list[object]:
    """(sentence, rule names) of each block of a golden file; its title is the test's id."""
    text = (GOLDEN / name).read_text(encoding="utf-8")
    blocks = re.findall(r"^## (.+)\n(.+)\n→ (.+)$", text, flags=re.MULTILINE)
    assert len(blocks) == text.count("\n## ")
    return [pytest.param(said, rules.split(", "), id=title) for title, said, rules in blocks]


def seen(said: str) -> set[str]:
    return {RULES[hit.number].name for hit in find(said)}


@pytest.mark.parametrize(("said", "rules"), cases("section-cues.md"))
def test_a_cue_is_seen(said: str, rules: list[str]) -> None:
    """Each rule that the golden file lists sees something in the sentence."""
    assert set(rules) <= seen(said)


@pytest.mark.parametrize(("said", "rules"), cases("section-no-cues.md"))
def test_a_cue_stays_silent(said: str, rules: list[str]) -> None:
    """None of the rules that the golden file lists sees anything in the sentence."""
    assert {r.name for r in RULES} >= set(rules)
    assert not set(rules) & seen(said)


def test_every_rule_is_in_the_list_once() -> None:
    """The visible list holds one rule for each file of the folder, each under its own name."""
    import voicedraft.read.sections.cues as package

    files = {p.stem for p in Path(str(package.__file__)).parent.glob("*.py")} - {"__init__", "cue"}
    assert {r.name.replace(" ", "_") for r in RULES} == files
    assert len(RULES) == len(files)


def test_a_hit_points_at_its_words() -> None:
    """A hit's characters are those of the words that the rule saw, curly apostrophes or straight."""
    said = "Now the band’s off and I’m past the band."
    hits = [h for h in find(said) if RULES[h.number].name == "final third named"]
    assert [said[h.first : h.last] for h in hits] == ["band’s off"]
