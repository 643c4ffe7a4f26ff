"""What the encoder learns from, and vectors as an encoder gives them that never saw the session."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np

from voicedraft.evaluate.gold import load
from voicedraft.evaluate.run import leave_out
from voicedraft.read import Weights
from voicedraft.read.analysis import encoder, tuning
from voicedraft.train import FITTED_ON, gold_files
from voicedraft.train.encoder import PARTS, honest, material, not_fitted_on, numbers, of_part, parts, written

GOLD = Path(__file__).parent / "gold"


def test_every_session_that_the_encoder_learned_from_has_a_part() -> None:
    """Each is left out by one of the part encoders, and no held-back session is among them."""
    learned = {p.stem for p in gold_files("encoder")}
    assert set(parts()) == learned
    assert set(parts().values()) == set(range(PARTS))
    assert not learned & {p.stem for p in (GOLD / "held_back").glob("*.json")}
    assert "held_back" not in FITTED_ON["encoder"]


def test_a_session_is_looked_at_by_an_encoder_that_was_not_fitted_on_it() -> None:
    """Figures of a learned session are told with its part's encoder; others keep the shipped one."""
    name = "s10"
    with not_fitted_on(name):
        assert tuning() is of_part(parts()[name])
    with not_fitted_on("a speaker nobody knows"):
        assert tuning() not in [of_part(p) for p in range(PARTS)]


def test_the_material_holds_the_words_sections_and_flavours_of_a_session() -> None:
    """Pieces, tokens and names are those that the program itself sees."""
    gold = load(GOLD / "sessions" / "s10.json")
    with tuning.instead(None):
        found = material.material_of(gold)
        first = encoder().pieces(gold["takes"][0]["sentences"][0]["t"])[0]
    assert found.ids[: found.lengths[0]].tolist() == first
    assert found.lengths.sum() == len(found.ids)
    assert len(found.topic) == len(found.lengths) == len(found.extra)
    assert (found.topic >= 0).all()
    sure = sum(1 for d in gold["descriptors"])
    entries = found.mentions[:, 2] > 0
    assert 0.9 * sure <= entries.sum() <= sure
    assert (found.tags[found.mentions[entries, 0]] == 1).all()


def test_the_material_says_which_number_is_what() -> None:
    """Each fact that was said stands under its own words, and so do marks, drinks and what was refused."""
    gold = load(GOLD / "sessions" / "s10.json")
    with tuning.instead(None):
        found = material.material_of(gold)
    labels = [numbers.LABELS[label] for label in found.named[:, 2]]
    for fact in ("ring_gauge", "rest_days", "storage_rh_pct", "smoking_minutes", "price_single", "wrapper", "binder"):
        assert (fact in labels) == (fact in gold["facts"]), fact
    assert labels.count(numbers.MARK) >= len({s["value"] for s in gold["scores"]})
    assert (found.named[:, 0] < found.named[:, 1]).all()
    assert found.named[:, 1].max() <= len(found.tokens)
    told = gold["pairings"]
    assert (found.wanted == 1).sum() >= len(told["drink"]) + len(told["food"])
    assert ((found.wanted == 2).sum() > 0) == bool(told["avoid"])
    assert len(numbers.LABELS) == material.LABELS
    assert tuple(len(told) for told in numbers.ACTS.values()) == material.ACTS


def test_written_pieces_are_joined_to_speakers_whose_tokens_are_counted_on() -> None:
    """Each made-up speaker's arrays fit together, and every kind of thing is taught by some."""
    with tuning.instead(None):
        found = written.written(4)
    for one in found:
        assert one.tokens[-1, 0] == len(one.lengths) - 1 == len(one.acts) - 1 == len(one.extra) - 1
        assert one.named[:, 1].max(initial=0) <= len(one.tokens) == len(one.wanted) == len(one.tags)
        assert one.lengths.sum() == len(one.ids)
        assert not one.tag_weights.any()
        assert (one.topic == -100).all()
    assert {label for one in found for label in one.named[:, 2]} == set(range(material.LABELS))
    assert {label for one in found for label in one.wanted} == {0, 1, 2}


def test_material_is_written_and_read_again(tmp_path: Path) -> None:
    """What is gathered here is fitted elsewhere."""
    with tuning.instead(None):
        one = material.material_of(load(GOLD / "short" / "f01.json"))
    material.save([one], tmp_path / "m")
    again = material.load(tmp_path / "m")[0]
    assert again.name == one.name
    assert (again.ids == one.ids).all()
    assert (again.topic == -100).all(), "sections are learned from long sessions only"


def test_directions_turned_by_a_rotation_are_found_again() -> None:
    """A known answer: an orthogonal turn, drawn at random, from which ridge regression must find the way back."""
    rng = np.random.default_rng(1)
    turn, _ = np.linalg.qr(rng.normal(size=(16, 16)))
    rows = rng.normal(size=(4000, 16))
    found = honest.turned([rows @ turn], [rows])
    assert np.abs(found - turn.T).max() < 0.03


def test_vectors_of_a_session_come_from_its_parts_encoder_and_others_stay() -> None:
    """Sessions of parts get the turned vectors of their own part; a session of no part keeps its own."""
    rng = np.random.default_rng(2)
    names = [*list(parts())[:8], "nobody"]
    texts = {n: tuple(f"{n} {i}" for i in range(60)) for n in names}
    drawn = {t: rng.normal(size=12) for rows in texts.values() for t in rows}
    shipped = {n: _unit([drawn[t] for t in texts[n]]) for n in names}
    asked: list[int] = []

    def encode(rows: object, part: int) -> np.ndarray:
        asked.append(part)
        return _unit([-drawn[t] for t in rows])  # type: ignore[attr-defined]

    found = honest.unseen_vectors(shipped, texts, encode)
    assert found["nobody"] is shipped["nobody"]
    assert set(asked) == {parts()[n] for n in names[:-1]}
    for n in names[:-1]:
        assert (found[n] * shipped[n]).sum(axis=1).min() > 0.95, "the turn undoes the sign"


def _unit(rows: object) -> np.ndarray:
    out = np.array(rows, np.float64)
    return out / np.linalg.norm(out, axis=1, keepdims=True)


def test_sessions_left_out_together_are_never_among_those_fitted_on() -> None:
    """Each group is fitted once, on the other groups and on what is always there, within its own setting."""
    golds = [(n, load(GOLD / "short" / f"{n}.json")) for n in ("f01", "f02", "f03")]
    more = [load(GOLD / "short" / "f04.json")]
    fitted: list[list[str]] = []
    entered: list[str] = []

    def fit(others: Sequence[dict[str, Any]]) -> Weights:
        fitted.append([g["id"] for g in others])
        return Weights()

    @contextmanager
    def apart(name: str) -> Iterator[None]:
        entered.append(name)
        yield

    rows = leave_out(golds, more, fit, ["sentences"], apart=apart, together=lambda n: n != "f02")
    assert fitted == [["f02", "f04"], ["f01", "f03", "f04"]]
    assert entered == ["f01", "f02"]
    assert sorted(r.name for r in rows) == ["f01", "f02", "f03"]
