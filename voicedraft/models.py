"""Where models lie on this machine."""

from __future__ import annotations

import os
from pathlib import Path

import platformdirs

from voicedraft.errors import ModelError


def model_folders() -> list[Path]:
    """Folders searched for models, first match wins: $VOICEDRAFT_MODELS, then the user's data folder."""
    named = os.environ.get("VOICEDRAFT_MODELS")
    here = Path(__file__).resolve().parent.parent / ".models"
    user = Path(platformdirs.user_data_dir("voicedraft")) / "models"
    return ([Path(named)] if named else []) + ([here] if here.is_dir() else []) + [user]


def model_path(name: str) -> Path:
    """Folder of the installed model `name`. Raises ModelError where it is not installed."""
    for folder in model_folders():
        if (folder / name).is_dir():
            return folder / name
    raise ModelError(f"The model {name} is not installed. Run `voicedraft models install {name}`.")
