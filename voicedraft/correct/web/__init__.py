"""The local page: a small FastAPI app over one draft folder, for one person at this computer."""

from voicedraft.correct.web.app import create_app

__all__ = ["create_app"]
