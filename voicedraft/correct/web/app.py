"""The app: which address does what. Nothing is decided here; corrections are the session's business."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Annotated, Any

import jinja2
from fastapi import FastAPI, Request
from fastapi import Path as PathParameter
from fastapi.exceptions import RequestValidationError
from fastapi.responses import FileResponse, HTMLResponse, JSONResponse
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException

from voicedraft import __version__
from voicedraft.correct.errors import CorrectionError, StaleError
from voicedraft.correct.session import Session
from voicedraft.correct.web.payload import (
    Changed,
    Done,
    Peaks,
    Refused,
    Revision,
    Stale,
    Step,
    Whole,
    Wish,
    changed,
    history,
    whole,
)
from voicedraft.correct.web.peaks import STEP_S, peaks
from voicedraft.correct.web.safety import Guard
from voicedraft.correct.web.sound import Sounds
from voicedraft.errors import InputError, OutputError

_HERE = Path(__file__).resolve().parent.parent
STATIC, TEMPLATES = _HERE / "static", _HERE / "templates"
REFUSALS: dict[int | str, dict[str, Any]] = {
    403: {"description": "not from the page"}, 411: {"description": "no length"}, 413: {"description": "too long"},
    400: {"description": "not readable"},
    409: {"model": Stale, "description": "somebody else was first"},
    422: {"model": Refused, "description": "cannot be made"}, 503: {"model": Refused, "description": "cannot be saved"},
}
NO_SOUND: dict[int | str, dict[str, Any]] = {
    404: {"model": Refused, "description": "no such recording"},
    422: {"model": Refused, "description": "no take number"},
}
Take = Annotated[int, PathParameter(ge=1, le=100_000)]


def create_app(directory: Path, token: str, who: str = "reviewer") -> FastAPI:
    """The page over one draft folder. `token`: the secret of its first address, at least 16 characters.

    Raises OutputError where the folder holds no draft, ValueError on a short token.
    """
    session = Session(directory, who=who)
    sounds = Sounds(directory)

    @asynccontextmanager
    async def lifespan(app: FastAPI) -> AsyncIterator[None]:
        session.warm()
        yield
        session.close()

    app = FastAPI(title="voicedraft correct", version=__version__, docs_url=None, redoc_url=None, lifespan=lifespan)
    app.state.session = session
    app.add_middleware(Guard, token=token)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    _pages(app)
    _corrections(app, session)
    _session(app, session, sounds)
    _errors(app)
    return app


def _pages(app: FastAPI) -> None:
    environment = jinja2.Environment(loader=jinja2.FileSystemLoader(TEMPLATES), autoescape=True,
                                     undefined=jinja2.StrictUndefined)

    @app.get("/", response_class=HTMLResponse, include_in_schema=False)
    def page() -> HTMLResponse:
        return HTMLResponse(environment.get_template("correct.html.j2").render(version=__version__))


def _session(app: FastAPI, session: Session, sounds: Sounds) -> None:
    @app.get("/api/session", response_model=Whole)
    def get_session() -> Whole:
        session.refresh()
        return whole(session, set(sounds.known()))

    @app.get("/api/revision", response_model=Revision)
    def get_revision() -> Revision:
        session.refresh()
        return Revision(revision=session.revision)

    @app.get("/api/corrections", response_model=list[Done])
    def get_corrections() -> list[Done]:
        session.refresh()
        return history(session)

    @app.get("/api/peaks/{take}", response_model=Peaks, responses=NO_SOUND)
    def get_peaks(take: Take) -> Peaks:
        sound = sounds.get(take)
        return Peaks(take=take, step=STEP_S, peaks=peaks(sound.path, sound.digest))

    @app.api_route("/sound/{take}", methods=["GET", "HEAD"], include_in_schema=False)
    def get_sound(take: Take) -> FileResponse:
        sound = sounds.get(take)
        return FileResponse(sound.path, media_type=sound.media_type,
                            headers={"Cache-Control": "private, max-age=3600", "ETag": f'"{sound.digest[:32]}"'})


def _corrections(app: FastAPI, session: Session) -> None:
    @app.post("/api/corrections", response_model=Changed, responses=REFUSALS)
    def correct(wish: Wish) -> Changed:
        return changed(session, session.change(wish.change, wish.base))

    @app.post("/api/undo", response_model=Changed, responses=REFUSALS)
    def undo(step: Step) -> Changed:
        return changed(session, session.undo(step.base, step.event))

    @app.post("/api/redo", response_model=Changed, responses=REFUSALS)
    def redo(step: Step) -> Changed:
        return changed(session, session.redo(step.base))


def _errors(app: FastAPI) -> None:
    def told(status: int, body: Refused) -> JSONResponse:
        return JSONResponse(body.model_dump(), status)

    @app.exception_handler(StaleError)
    def stale(request: Request, error: StaleError) -> JSONResponse:
        return told(409, Stale(message=str(error), revision=error.revision, changed=list(error.changed)))

    @app.exception_handler(CorrectionError)
    def refused(request: Request, error: CorrectionError) -> JSONResponse:
        return told(422, Refused(message=str(error)))

    @app.exception_handler(InputError)
    def no_sound(request: Request, error: InputError) -> JSONResponse:
        return told(404, Refused(message=str(error)))

    @app.exception_handler(OutputError)
    def not_saved(request: Request, error: OutputError) -> JSONResponse:
        return told(503, Refused(message=str(error)))

    @app.exception_handler(RequestValidationError)
    def malformed(request: Request, error: RequestValidationError) -> JSONResponse:
        first = error.errors()[0]
        where = ".".join(str(x) for x in first["loc"] if x != "body")
        return told(422, Refused(message=ascii(f"{where or 'request'}: {first['msg']}")[1:-1]))

    @app.exception_handler(HTTPException)
    def other(request: Request, error: HTTPException) -> JSONResponse:
        return JSONResponse({"message": str(error.detail)}, error.status_code, headers=error.headers)
