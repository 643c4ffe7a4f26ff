"""Named errors. The library raises these; only the command line and the web edge turn them into messages.

Each message says what was wrong, with the value, and what to do next.
"""

from __future__ import annotations


class VoicedraftError(Exception):
    """Base of every error that a user can cause or mend. `str(error)` is one clear sentence with the next step."""


class InputError(VoicedraftError):
    """An input is missing, empty, unreadable or not what it claims to be."""


class SilentAudioError(InputError):
    """An audio input holds no speech at all."""


class TranscriptError(InputError):
    """A timed transcript breaks its syntax. The message names the line."""


class ModelError(VoicedraftError):
    """A model is missing, incomplete, or its digest is not the one in the manifest."""


class LexiconError(VoicedraftError):
    """A lexicon file is malformed. The message names the file and entry."""


class OutputError(VoicedraftError):
    """An output folder cannot be written: no space, no permission, or not a folder."""
