"""Folders of the user's own: learned words, cached transcripts."""

from __future__ import annotations

import os
from pathlib import Path

import platformdirs


def user_lexicon() -> Path:
    """Folder of the user's own lexicon layer: $VOICEDRAFT_LEXICON, else in the user's configuration folder."""
    return Path(os.environ.get("VOICEDRAFT_LEXICON") or Path(platformdirs.user_config_dir("voicedraft")) / "lexicon")


def cache_folder() -> Path:
    """Folder of kept transcriptions: $VOICEDRAFT_CACHE, else in the user's cache folder. Safe to delete."""
    return Path(os.environ.get("VOICEDRAFT_CACHE") or platformdirs.user_cache_dir("voicedraft"))
