"""The page's interface held against its own OpenAPI document by schemathesis: no 500, and answers as described."""

from __future__ import annotations

from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import response_schema_conformance, status_code_conformance

from tests import correcting, sounding
from voicedraft.correct.web import create_app
from voicedraft.correct.web.safety import cookie_name

ENTRY = "a-word-for-the-tests-only"


COOKIE = {"Cookie": f"{cookie_name(ENTRY)}={ENTRY}", "Host": "127.0.0.1"}
ADDRESSES = ["GET /api/session", "GET /api/revision", "GET /api/corrections", "GET /api/peaks/{take}",
             "POST /api/corrections", "POST /api/undo", "POST /api/redo"]
CHECKS = (not_a_server_error, status_code_conformance, response_schema_conformance)


@pytest.fixture(scope="module")
def operations(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """The app's own description of itself: method and path to operation."""
    folder = correcting.draft(tmp_path_factory.mktemp("schema") / "draft")
    sounding.record(folder, (".wav",))
    described = schemathesis.openapi.from_asgi("/openapi.json", create_app(folder, ENTRY), headers=COOKIE)
    found = [result.ok() for result in described.get_all_operations()]
    return {f"{o.method.upper()} {o.path}": o for o in found}


def test_every_address_of_the_interface_is_tried(operations: dict[str, Any]) -> None:
    """A new address fails this until it is listed here."""
    assert set(operations) == set(ADDRESSES)


def _aim(body: dict[str, Any], passage: str, revision: int) -> None:
    """Points a generated correction at a passage that exists and at the last revision, so that it is really made."""
    body["base"] = revision
    change = body.get("change", {})
    if "passage" in change:
        change["passage"] = passage
    if isinstance(change.get("source"), dict):
        change["source"] = {"passage": passage}
    for part in ("first", "at"):
        if part in change:
            change[part] = 1
    if "last" in change:
        change["last"] = 3


def test_corrections_that_are_really_made_do_not_make_the_page_fail(operations: dict[str, Any]) -> None:
    """Generated values on passages that exist: many are made, the others refused with a sentence."""
    operation = operations["POST /api/corrections"]
    made: list[int] = []

    @settings(max_examples=250, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
    @given(st.data(), st.integers(1, 10))
    def run(data: st.DataObject, number: int) -> None:
        case = data.draw(operation.as_strategy(generation_mode=schemathesis.GenerationMode.POSITIVE))
        revision = operations["GET /api/revision"].Case().call(headers=COOKIE).json()["revision"]
        _aim(case.body, f"p{number}", revision)
        response = case.call(headers=COOKIE)
        assert response.status_code in (200, 422), response.text
        assert response.json()
        made.append(response.status_code)

    run()
    assert made.count(200) > 30


@pytest.mark.parametrize("right", [True, False], ids=["well-formed", "malformed"])
@pytest.mark.parametrize("address", ADDRESSES)
def test_no_request_makes_the_page_fail(operations: dict[str, Any], address: str, right: bool) -> None:
    """Generated requests get an answer that the document describes, never a 500."""
    operation = operations[address]
    if not right and address.startswith("GET") and "{" not in address:
        right = True
    mode = schemathesis.GenerationMode.POSITIVE if right else schemathesis.GenerationMode.NEGATIVE

    @settings(max_examples=80, deadline=None, derandomize=True, database=None,
              suppress_health_check=list(HealthCheck))
    @given(st.data())
    def run(data: st.DataObject) -> None:
        case = data.draw(operation.as_strategy(generation_mode=mode))
        case.call_and_validate(headers=COOKIE, checks=CHECKS)

    run()
