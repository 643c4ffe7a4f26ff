"""Learning from corrections: what the reviewer set right becomes the user's own layer.

Each corrected draft leaves one file of lessons, made from the corrections that count and from nothing else. The layer
is made from all lesson files anew each time, so that a correction taken back leaves no trace. Every lesson names its
event.
"""

from voicedraft.correct.learning.layer import build
from voicedraft.correct.learning.sections import user_weights
from voicedraft.correct.learning.store import Store, learn

__all__ = ["Store", "build", "learn", "user_weights"]
