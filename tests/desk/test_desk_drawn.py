"""Drawn requests to kept calls (schemathesis): never a 5xx, every answer as documented, and the desk stays whole."""

import json
from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
from account_visits import Visit, staffed
from desk_homes import DeskHomes
from hypothesis import Phase, settings

from api_drawing import CHECKS, drawable, drawn_times
from saltriage.desk.checking import check_desk
from saltriage.desk.opening import open_desk
from saltriage.knowledge.model import Knowledge
from saltriage.web.openapi import openapi_document
from saltriage.web.openapi_examples import DESK_EXAMPLES
from saltriage.web.settings import DeskSettings, Settings
from web_server import running

NAME = "00000000-0000-4000-8000-000000000007"
DOCUMENT = openapi_document(desk=True)


def drawn_from() -> dict[str, Any]:
    """Operations on kept calls, drawn small, and mostly on what is there."""
    there = {"call": [NAME, "1"], "Saltriage-Agent": ["kim"]}
    paths = {path: each for path, each in json.loads(json.dumps(DOCUMENT["paths"])).items() if "/desk" in path}
    for operation in (each for operations in paths.values() for each in operations.values()):
        for place in operation["parameters"]:
            if place["name"] in there:
                place["schema"] = {"enum": there[place["name"]]}
        for body in operation.get("requestBody", {}).get("content", {}).values():
            body["schema"] = drawable(body["schema"])
            if "case" in (told := body["schema"].get("properties", {})):
                told["case"] = {
                    "anyOf": [{"enum": [DESK_EXAMPLES["desk/save"]["case"]]}, {**told["case"], "maxProperties": 3}]
                }
                told["seen"] = {"anyOf": [{"enum": [0, 1, 2]}, told["seen"]]}
    return {**DOCUMENT, "paths": paths}


schema = schemathesis.openapi.from_dict(drawn_from())


# Each database and each way to be let in once; all four would find no more and take twice as long.
@pytest.fixture(scope="module", params=[("sqlite", False), ("postgresql", True)], ids=["alone", "accounts"])
def visit(request: pytest.FixtureRequest, homes: DeskHomes, knowledge: Knowledge) -> Iterator[Visit]:
    """Kim's: the agent of a desk without accounts in a file, or signed in at one in PostgreSQL, if there is one."""
    kind, has_accounts = request.param
    at = homes.fresh(kind if homes.server else "sqlite")
    desk = open_desk(at)
    if has_accounts:
        staffed(desk, "mo", "kim")
    kept = DeskSettings(at, "kim", needs_accounts=has_accounts, cheap_passwords=True)
    with running(knowledge, Settings(desk=kept)) as base:
        made = Visit(base)
        if has_accounts:
            assert made.sign_in().status_code == 303
        made.client.put(f"/api/v1/desk/calls/{NAME}", json=DESK_EXAMPLES["desk/save"], headers={"Origin": base})
        yield made
    count, faults = check_desk(desk.connected)
    assert count >= 1
    assert faults == []


@pytest.mark.long
@schema.parametrize()
@drawn_times(4)
def test_no_request_breaks_the_desk(case: schemathesis.Case, visit: Visit) -> None:
    response = case.call(base_url=visit.base, cookies=dict(visit.client.cookies), headers={"Origin": visit.base})
    case.validate_response(response, checks=CHECKS)


@schema.parametrize()
@settings(drawn_times(2), phases=[Phase.generate])
def test_no_request_is_answered_to_who_is_not_signed_in(case: schemathesis.Case, visit: Visit) -> None:
    """Nor is anything said of what was wrong with it."""
    if visit.session:
        assert case.call(base_url=visit.base).status_code == 401
