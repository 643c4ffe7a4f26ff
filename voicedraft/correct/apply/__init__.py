"""How each kind of correction is made: `prepare` turns a person's wish into an event, `apply` makes it on a state.

`RULES` is the whole list, by kind. `apply` raises `Unplaced` where the words or the value that the event names do not
exist in the state.
"""

from __future__ import annotations

from voicedraft.correct.apply import descriptors, facts, pairings, passages, scores, strength, words
from voicedraft.correct.apply.rule import Rule, Unplaced

RULES: dict[str, Rule] = {
    "passage.label": Rule(passages.prepare_label, passages.label),
    "passage.aside": Rule(passages.prepare_aside, passages.label),
    "passage.split": Rule(passages.prepare_split, passages.split),
    "passage.merge": Rule(passages.prepare_merge, passages.merge),
    "passage.accept": Rule(passages.prepare_accept, passages.accept),
    "words.fix": Rule(words.prepare_fix, words.fix),
    "words.revert": Rule(words.prepare_revert, words.revert),
    "descriptor.add": Rule(descriptors.prepare_add, descriptors.put),
    "descriptor.edit": Rule(descriptors.prepare_edit, descriptors.put),
    "descriptor.remove": Rule(descriptors.prepare_remove, descriptors.remove),
    "strength.set": Rule(strength.prepare_set, strength.put),
    "strength.clear": Rule(strength.prepare_clear, strength.remove),
    "fact.set": Rule(facts.prepare_set, facts.put),
    "fact.clear": Rule(facts.prepare_clear, facts.remove),
    "score.add": Rule(scores.prepare_add, scores.put),
    "score.edit": Rule(scores.prepare_edit, scores.put),
    "score.remove": Rule(scores.prepare_remove, scores.remove),
    "pairing.add": Rule(pairings.prepare_add, pairings.put),
    "pairing.edit": Rule(pairings.prepare_edit, pairings.put),
    "pairing.remove": Rule(pairings.prepare_remove, pairings.remove),
}

__all__ = ["RULES", "Rule", "Unplaced"]
