"""Learning from corrections: what is learned, from which event, what it changes, and that it can be taken back."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from tests import correcting
from tests.correcting import correct, offsets, passage, spoken, teach, tree
from voicedraft.cli import run
from voicedraft.correct.learning import Store, build, chain, learn, user_weights
from voicedraft.correct.learning.lessons import Cue, Misheard, NewPairing, NewTerm, Synonym
from voicedraft.correct.learning.sections import LEAST_SESSIONS
from voicedraft.correct.session import Session
from voicedraft.draft.compose import compose
from voicedraft.hear.repair import repair
from voicedraft.lexicon import load_lexicon
from voicedraft.paths import user_lexicon
from voicedraft.read import read
from voicedraft.read.analysis import Analysis, analyse
from voicedraft.read.descriptors import read_descriptors
from voicedraft.read.sections import decode, read_sections, section_chances
from voicedraft.read.sections.features import see
from voicedraft.read.sections.weights import SectionWeights, shipped
from voicedraft.types import SECTIONS, Descriptor, Reading

Teach = Callable[..., list[object]]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return correcting.draft(tmp_path / "draft")


def test_a_rewritten_word_is_a_mishearing_that_is_repaired_next_time(folder: Path) -> None:
    """The next transcript with the same mishearing in the same company is set right, elsewhere it is not."""
    p = passage(correcting.review(), "broadleaf")
    (lesson,) = teach(folder, "words.fix", passage="p8", **offsets(p, "guess a"), text="gas her")
    assert isinstance(lesson, Misheard)
    assert (lesson.heard, lesson.right) == ("guess a", "gas her")
    assert "binder" in lesson.near
    lexicon = load_lexicon(user_lexicon())
    transcript, _ = spoken(((("I would guess a binder from the hill.", "background", None),),
                            (("I would guess a goat ate it.", "aside", None),)))
    shipped = repair(transcript, load_lexicon())
    assert not any(r.heard == "guess a" for r in shipped.repairs)
    assert [(r.heard, r.text) for r in repair(transcript, lexicon).repairs if r.heard == "guess a"] == [
        ("guess a", "gas her")]


def test_a_repair_taken_back_is_not_made_again(folder: Path) -> None:
    """The form goes to those that are never repaired."""
    p = passage(correcting.review(), "Fenwick")
    teach(folder, "words.revert", passage="p2", **offsets(p, "habano"))
    assert load_lexicon(user_lexicon()).table("misheard")["never"]["heard"] == ["hay bano"]


def test_a_flavour_that_the_lexicon_lacks_is_known_from_then_on(folder: Path) -> None:
    """With the family that the reviewer's entry has, as a form of its own."""
    source = {"passage": "p5", "first": 1, "last": 3}
    (lesson,) = teach(folder, "descriptor.add", source=source,
                       new={"term": "wet blackboard", "stage": "first", "family": "mineral"})
    assert lesson == NewTerm(event=lesson.event, term="wet blackboard", family="mineral")  # type: ignore[attr-defined]
    assert load_lexicon().family("wet blackboard") is None
    assert load_lexicon(user_lexicon()).family("wet blackboards") == "mineral"
    assert len(load_lexicon(user_lexicon()).forms) > len(load_lexicon().forms)


def test_a_learned_flavour_is_read_in_the_next_session_in_every_way_of_writing_it(folder: Path) -> None:
    """Hyphenated, in the plural and as an adjective; without the lesson none of them leads to the term."""
    for term in ("wet blackboard", "bakelite"):
        teach(folder, "descriptor.add", source={"passage": "p5"},
               new={"term": term, "stage": "first", "family": "mineral"})
    learned, shipped_forms = load_lexicon(user_lexicon()).forms, load_lexicon().forms
    for form, term in (("wet-blackboard", "wet blackboard"), ("wet blackboards", "wet blackboard"),
                       ("bakelitey", None), ("bakelity", "bakelite"), ("bakelite", "bakelite")):
        assert form not in shipped_forms
        assert (learned[form].term.term if form in learned else None) == term
    said = (("In the first third I get a lot of bakelite, and then the pepper comes.", "first_third", "first"),)
    transcript, passages = spoken((said,))
    found = read_descriptors(analyse(transcript), passages, load_lexicon(user_lexicon()))
    assert [(d.term, d.family) for d in found if "bakelite" in d.term] == [("bakelite", "mineral")]


@pytest.mark.parametrize("how", ["removed", "renamed", "removed in a later draft"])
def test_a_flavour_taken_out_again_is_unlearned(folder: Path, tmp_path: Path, how: str) -> None:
    """The reviewer's latest word on a term holds, in the same draft or in a later one; added again, it is back."""
    new = {"term": "bakelite", "stage": "first", "family": "mineral"}
    teach(folder, "descriptor.add", source={"passage": "p5"}, new=new)
    assert load_lexicon(user_lexicon()).family("bakelite") == "mineral"
    key = {"stage": "first", "term": "bakelite"}
    if how == "removed":
        teach(folder, "descriptor.remove", key=key)
    elif how == "renamed":
        teach(folder, "descriptor.edit", key=key, new={**new, "term": "cedar bark"})
        assert load_lexicon(user_lexicon()).family("cedar bark") is not None
    else:
        transcript, passages = spoken(((("I get bakelite here.", "first_third", "first"),),))
        bakelite = Descriptor("bakelite", "mineral", "first", "present", "medium", "p1", 2, 3, "bakelite")
        later = correcting.draft(tmp_path / "later", compose(Reading(transcript, passages, (bakelite,))))
        teach(later, "descriptor.remove", key=key)
    assert load_lexicon(user_lexicon()).family("bakelite") is None
    teach(folder, "descriptor.add", source={"passage": "p6"}, new={**new, "stage": "second"})
    assert load_lexicon(user_lexicon()).family("bakelite") == "mineral"


def test_the_reviewers_own_slip_is_no_other_word_for_a_flavour(folder: Path) -> None:
    """A name added by hand and put right to a known flavour teaches nothing."""
    teach(folder, "descriptor.add", source={"passage": "p5"}, new={"term": "leathr", "stage": "first"})
    teach(folder, "descriptor.edit", key={"stage": "first", "term": "leathr"},
           new={"term": "leather", "stage": "first"})
    assert "leathr" not in load_lexicon(user_lexicon()).forms


def test_a_known_flavour_teaches_nothing(folder: Path) -> None:
    """Adding what the lexicon knows leaves no lesson."""
    assert teach(folder, "descriptor.add", source={"passage": "p5"}, new={"term": "leather", "stage": "first"}) == []
    assert not list(user_lexicon().glob("*.toml"))


def test_another_name_for_a_known_flavour_becomes_its_synonym(tmp_path: Path) -> None:
    """And the known flavour keeps its shipped forms."""
    transcript, passages = spoken(((("I get seedery box here.", "first_third", "first"),),))
    read = Reading(transcript, passages,
                   (Descriptor("seedery box", "other", "first", "present", "medium", "p1", 2, 4, "seedery box"),))
    folder = correcting.draft(tmp_path / "d", compose(read))
    (lesson,) = teach(folder, "descriptor.edit", key={"stage": "first", "term": "seedery box"},
                       new={"term": "cedar", "stage": "first"})
    assert isinstance(lesson, Synonym)
    forms = load_lexicon(user_lexicon()).forms
    assert forms["seedery box"].term.term == forms["cedary"].term.term == "cedar"


@pytest.mark.parametrize(("text", "phrase"), [
    ("The business end, then, it pulls like a drain.", "the business end"),
    ("The chimney: it is fine.", "the chimney"), ("Airflow report.", "airflow report"),
    ("Okay, it is fine.", None), ("So, well, it is fine.", None), ("It pulls like a drain.", None),
    ("Burn, then, it is fine.", None),
])
def test_the_words_that_open_a_section_become_a_cue(tmp_path: Path, text: str, phrase: str | None) -> None:
    """Only where they say something and are no cue yet."""
    rows = ((("I get some cocoa.", "first_third", "first"), (text, "first_third", "first")),)
    transcript, passages = spoken(rows)  # type: ignore[arg-type]
    folder = correcting.draft(tmp_path / "d", compose(Reading(transcript, passages)))
    lessons = teach(folder, "passage.label", passage="p2", section="burn", stage="first")
    cues = [x.phrase for x in lessons if isinstance(x, Cue)]
    assert cues == ([phrase] if phrase else [])
    if phrase:
        assert phrase in load_lexicon(user_lexicon()).table("sections")["burn"]["openers"]


def test_a_phrase_that_opened_two_sections_is_no_cue(folder: Path, tmp_path: Path) -> None:
    """What two drafts say differently is left out of the layer."""
    for n, section in enumerate(("burn", "palate")):
        rows = ((("I get some cocoa.", "first_third", "first"), ("The business end, it is fine.", "value", None)),)
        transcript, passages = spoken(rows)  # type: ignore[arg-type]
        draft = correcting.draft(tmp_path / f"d{n}", compose(Reading(transcript, passages)))
        teach(draft, "passage.label", passage="p2", section=section, stage="after")
    table = load_lexicon(user_lexicon()).table("sections")
    assert not any("the business end" in body.get("openers", ()) for body in table.values() if isinstance(body, dict))


def test_an_unknown_drink_is_learned(folder: Path) -> None:
    """Under its side, beside the shipped lists."""
    fizz = {"kind": "drink", "value": "Sea Buckthorn Fizz"}
    lessons = teach(folder, "pairing.add", source={"passage": "p10"}, new=fizz)
    assert [type(x) for x in lessons] == [NewPairing]
    assert "sea buckthorn fizz" in load_lexicon(user_lexicon()).table("pairings")["drink"]["own"]


def test_a_wrong_correction_taken_back_leaves_no_trace(folder: Path) -> None:
    """The user's folder is the same bytes as before it, lessons, layer and all."""
    with Session(folder, write=False) as session:
        correct(session, "descriptor.add", source={"passage": "p5"}, new={"term": "wet blackboard", "stage": "first"})
        correct(session, "passage.label", passage="p5", section="burn", stage="first")
        learn(session)
        before = tree(user_lexicon())
        p = passage(session.review, "broadleaf")
        wrong = [
            correct(session, "words.fix", passage="p8", **offsets(p, "broadleaf"), text="bread loaf"),
            correct(session, "descriptor.add", source={"passage": "p6"},
                    new={"term": "hot tarpaulin", "stage": "second"}),
            correct(session, "passage.label", passage="p7", section="verdict", stage="after"),
            correct(session, "pairing.add", source={"passage": "p7"}, new={"kind": "food", "value": "dog biscuit"}),
        ]
        learn(session)
        assert tree(user_lexicon()) != before
        for outcome in reversed(wrong):
            session.undo(session.revision, outcome.event.id)
        learn(session)
    assert tree(user_lexicon()) == before
    with Session(folder, write=False) as session:
        while session.can_undo():
            session.undo(session.revision)
        learn(session)
    assert tree(user_lexicon()) == {}


def test_what_the_user_wrote_is_kept_whatever_is_learned(folder: Path) -> None:
    """A file put into the folder by hand moves to own/ with its comments, and is part of the layer."""
    store = Store()
    store.folder.mkdir(parents=True)
    text = '# mine\n[family.wood]\nterms = [{term = "driftwood plank"}]\n'
    (store.folder / "descriptors.toml").write_text(text, encoding="utf-8")
    teach(folder, "descriptor.add", source={"passage": "p5"},
           new={"term": "wet blackboard", "stage": "first", "family": "mineral"})
    assert (store.own / "descriptors.toml").read_text(encoding="utf-8") == text
    lexicon = load_lexicon(store.folder)
    assert (lexicon.family("driftwood plank"), lexicon.family("wet blackboard")) == ("wood", "mineral")
    before = tree(store.folder)
    build(store)
    assert tree(store.folder) == before


def test_a_draft_is_known_by_its_recordings(tmp_path: Path) -> None:
    """Learning twice from one draft, moved or transcribed anew, teaches once."""
    from dataclasses import replace

    transcript, passages = spoken()
    takes = tuple(replace(t, digest=f"{t.number}" * 64) for t in transcript.takes)
    document = compose(Reading(replace(transcript, takes=takes), passages))
    for name in ("one", "moved"):
        teach(correcting.draft(tmp_path / name, document), "pairing.add", source={"passage": "p10"},
               new={"kind": "food", "value": "smoked eel toast"})
    assert len(Store().sessions()) == 1


def _random_lessons(seed: int) -> tuple[list[chain.Lesson], chain.Values]:
    from voicedraft.read.sections.labels import PHASES, STATES, TOPICS

    rng = np.random.default_rng(seed)
    shapes = [(4, len(TOPICS)), (4, len(PHASES)), (3, len(TOPICS), len(TOPICS)), (3, len(PHASES), len(PHASES)),
              (len(TOPICS),), (len(PHASES),)]
    values = tuple(rng.normal(size=s) * 0.3 for s in shapes)
    lessons = []
    for n in (5, 1):
        agree = np.zeros((n, len(STATES)))
        agree[np.arange(n), rng.integers(0, len(STATES), n)] = 1.0
        agree[0] = 1.0
        lessons.append(chain.Lesson(rng.normal(size=(n, 4)), tuple(int(k) for k in rng.integers(0, 3, n)), agree))
    return lessons, values


def test_the_gradient_of_the_chain_is_its_slope() -> None:
    """Against central differences, for every kind of weight."""
    lessons, values = _random_lessons(1)
    _, gradient = chain._loss(lessons, values)
    rng = np.random.default_rng(2)
    for which, value in enumerate(values):
        for _ in range(4):
            at = tuple(int(rng.integers(0, n)) for n in value.shape)
            up, down = [v.copy() for v in values], [v.copy() for v in values]
            up[which][at] += 1e-5
            down[which][at] -= 1e-5
            slope = (chain._loss(lessons, tuple(up))[0] - chain._loss(lessons, tuple(down))[0]) / 2e-5
            assert gradient[which][at] == pytest.approx(slope, abs=1e-6)


def test_the_fit_is_where_scipy_finds_it() -> None:
    """The same minimum as scipy's L-BFGS-B finds for the same objective."""
    from scipy.optimize import minimize

    lessons, prior = _random_lessons(3)
    fitted = chain.fit(lessons, prior, 0.5, 0.5, 200)
    middle = np.concatenate([v.ravel() for v in prior])

    def objective(flat: np.ndarray) -> tuple[float, np.ndarray]:
        parts, at = [], 0
        for v in prior:
            parts.append(flat[at : at + v.size].reshape(v.shape))
            at += v.size
        value, gradient = chain._loss(lessons, tuple(parts))
        off = flat - middle
        return value + 0.25 * float(off @ off), np.concatenate([g.ravel() for g in gradient]) + 0.5 * off

    best = minimize(objective, middle, jac=True, method="L-BFGS-B").fun
    assert objective(np.concatenate([v.ravel() for v in fitted]))[0] == pytest.approx(best, rel=1e-3)


ODD = "The grey hat is still on."


def _odd_session(n: int) -> tuple[correcting.Row, ...]:
    flavours = ("cedar and cocoa", "hay", "black pepper", "walnut and cream", "leather")[n]
    return (("First third, I get " + flavours + ".", "first_third", "first"), (ODD, "palate", "after"),
            ("Now the second third, more of it.", "second_third", "second"), (ODD, "palate", "after"),
            ("Final third, coffee at last.", "final_third", "final"), (ODD, "palate", "after"))


def _burn(analysis: Analysis, weights: SectionWeights) -> float:
    """Mean probability of burn that the odd sentences get."""
    _, chances = decode.read(see(analysis, load_lexicon()), weights)
    odd = [i for i, s in enumerate(analysis.sentences) if s.text == ODD]
    return float(section_chances(chances)[odd, SECTIONS.index("burn")].mean())


def test_corrected_sections_move_the_users_own_weights(tmp_path: Path) -> None:
    """A speaker's odd way to tell of the burn is sooner read as burn after four corrected drafts, not before."""
    for n in range(LEAST_SESSIONS):
        assert user_weights() is None
        transcript, _ = spoken((_odd_session(n),))
        folder = correcting.draft(tmp_path / f"d{n}", compose(read(transcript)))
        with Session(folder, write=False) as session:
            for p in session.review.passages:
                if p.text == ODD:
                    correct(session, "passage.label", passage=p.id, section="burn", stage="first")
                else:
                    correct(session, "passage.accept", passage=p.id)
            learn(session)
    analysis = analyse(spoken((_odd_session(LEAST_SESSIONS),))[0])
    own = user_weights()
    assert own is not None
    assert _burn(analysis, own) > 2 * _burn(analysis, shipped())
    assert len(read_sections(analysis, None, own)) == 6
    again = user_weights()
    assert again is not None
    np.testing.assert_array_equal(again.chains[0].topic, own.chains[0].topic)
    forgotten = [e for s in Store().sessions() for x in s.sentences for e in x.events]
    assert run(["lexicon", "forget", *forgotten]) == 0
    plain = user_weights()
    assert plain is not None
    assert _burn(analysis, plain) == pytest.approx(_burn(analysis, shipped()), abs=0.02)
