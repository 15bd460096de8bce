"""How the server is asked and answers: names, pages for wrong addresses, packing, tags."""

import gzip

import httpx
import pytest
from web_scenes import demo_data

from saltriage.knowledge import Knowledge
from saltriage.web.settings import LOOPBACK, Settings
from web_server import running

BROWSER = "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"


def asked(base: str, host: str) -> httpx.Response:
    return httpx.get(f"{base}/healthz", headers={"Host": host}, trust_env=False, timeout=10)


# Names.


@pytest.mark.parametrize("host", ["localhost", "LOCALHOST:1", "127.0.0.1:8765", "[::1]:80", "localhost."])
def test_this_computers_own_names_are_answered(address: str, host: str) -> None:
    assert asked(address, host).status_code == 200


@pytest.mark.parametrize(
    "host", ["", "pool.example", "pool.example:80", "localhost.pool.example", "192.0.2.7", "[::2]"]
)
def test_other_names_are_refused(address: str, host: str) -> None:
    """A page of pool.example could else have its name lead here and read everything (RFC 9110, section 7.4)."""
    answer = asked(address, host)

    assert (answer.status_code, answer.json()["type"]) == (421, "/api/v1/problems/wrong-host")


def test_names_that_were_given_are_answered(knowledge: Knowledge) -> None:
    """On an open address any number is answered, too: no other site has a number for a name."""
    named = Settings(host_names=LOOPBACK | {"pool.example"}, any_address=True)
    with running(knowledge, named) as base:
        assert [asked(base, host).status_code for host in ("pool.example:80", "192.0.2.7", "[2001:db8::1]")] == [
            200
        ] * 3
        assert asked(base, "other.example").status_code == 421


# Wrong addresses.


@pytest.mark.parametrize(("method", "path", "status"), [("GET", "/no-such-page", 404), ("GET", "/support/panels", 405)])
def test_a_browser_gets_a_page(client: httpx.Client, method: str, path: str, status: int) -> None:
    answer = client.request(method, path, headers={"Accept": BROWSER})

    assert answer.status_code == status
    assert answer.headers["content-type"].startswith("text/html")
    assert 'href="/"' in answer.text
    assert "danger" in answer.text
    assert "unsafe" not in answer.headers["content-security-policy"]
    assert "<script" not in answer.text
    assert " style=" not in answer.text


@pytest.mark.parametrize(
    ("path", "accept"),
    [("/api/v1/nothing", BROWSER), ("/api/nothing", BROWSER), ("/nothing", "*/*"), ("/nothing", "application/json")],
)
def test_a_program_gets_a_problem(client: httpx.Client, path: str, accept: str) -> None:
    answer = client.get(path, headers={"Accept": accept})

    assert answer.status_code == 404
    assert answer.headers["content-type"] == "application/problem+json"


# Packing and tags.


def test_answers_are_packed_for_who_takes_it(client: httpx.Client) -> None:
    """The same bytes, at most a third of them on the line."""
    case = demo_data("low-salt-after-rain")
    plain = client.post("/api/v1/diagnose", json=case, headers={"Accept-Encoding": "identity"})
    with client.stream("POST", "/api/v1/diagnose", json=case, headers={"Accept-Encoding": "gzip"}) as answer:
        packed = b"".join(answer.iter_raw())

    assert answer.headers["content-encoding"] == "gzip"
    assert "content-encoding" not in plain.headers
    assert gzip.decompress(packed) == plain.content
    assert len(packed) < len(plain.content) / 3


@pytest.mark.parametrize("path", ["/api/v1/knowledge", "/api/v1/openapi.json", "/static/ink.css", "/static/mark.svg"])
def test_what_never_changes_is_asked_after_by_its_tag(client: httpx.Client, path: str) -> None:
    first = client.get(path)
    again = client.get(path, headers={"If-None-Match": first.headers["etag"]})
    other = client.get(path, headers={"If-None-Match": '"other"'})

    assert first.headers["cache-control"] == "no-cache"
    assert (again.status_code, again.content) == (304, b"")
    assert other.content == first.content


@pytest.mark.parametrize("path", ["diagnose", "water", "interview/start"])
def test_what_holds_a_case_is_never_stored(client: httpx.Client, path: str) -> None:
    case = demo_data("low-salt-after-rain")
    answer = client.post(f"/api/v1/{path}", json={"case": case} if "interview" in path else case)

    assert answer.headers["cache-control"] == "no-store"
    assert "etag" not in answer.headers
