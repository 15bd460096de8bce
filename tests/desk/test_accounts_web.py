"""A desk served with accounts, attacked: each way in that OWASP's cheat sheets name, on both databases.

Sources, from memory: OWASP cheat sheets on session management, cross-site request forgery, authentication, unvalidated
redirects; RFC 6265bis for cookies; RFC 9110 for statuses; Fetch Metadata.
"""

import re
import socket
from collections.abc import Iterator
from dataclasses import asdict, replace

import httpx
import pytest
from account_visits import LEE, MO, WORDS, Visit, staffed
from sqlalchemy import select, update

from saltriage.desk.accounts.logging_in import Accounts
from saltriage.desk.seeing import trail
from saltriage.desk.tables import audit, sessions, users
from saltriage.desk.times import after, now
from saltriage.knowledge.model import Knowledge
from saltriage.web.kept_routes import kept_routes
from saltriage.web.openapi_desk import WHICH
from saltriage.web.settings import DeskSettings, Settings
from saltriage.web.visitors import local_path
from saltriage.web.work import Work
from web_server import running


@pytest.fixture
def accounts(desk, clock) -> Accounts:
    return staffed(desk, "mo", "lee", "kim", clock=clock)


@pytest.fixture
def settings(address, clock) -> Settings:
    return Settings(desk=DeskSettings(address, "here", needs_accounts=True, clock=clock, cheap_passwords=True))


@pytest.fixture
def base(accounts, settings, knowledge) -> Iterator[str]:
    with running(knowledge, settings) as found:
        yield found


@pytest.fixture
def visit(base) -> Visit:
    return Visit(base)


@pytest.fixture
def kim(base) -> Visit:
    made = Visit(base)
    assert made.sign_in().status_code == 303
    return made


@pytest.fixture
def mo(base) -> Visit:
    made = Visit(base)
    assert made.sign_in("mo", MO).status_code == 303
    return made


def desk_addresses(settings: Settings, knowledge: Knowledge) -> list[tuple[str, str]]:
    """Every method and address of the desk but those for signing in and out."""
    routes = kept_routes(settings, knowledge, Work(settings))
    return [
        (method, re.sub(r"\{[^}]*\}", "1", route.path))
        for route in routes
        for method in sorted(route.methods - {"HEAD"})
        if route.path not in ("/login", "/logout")
    ]


# Who is not signed in


def test_nothing_of_the_desk_is_given_to_who_is_not_signed_in(base, settings, knowledge):
    """Every route there is, whatever is in its address; programs get a problem, browsers the page for signing in."""
    found = desk_addresses(settings, knowledge)
    assert len(found) >= 7
    for method, path in found:
        program = httpx.request(method, f"{base}{path}", json={}, trust_env=False) if method != "GET" else None
        answer = program or httpx.get(f"{base}{path}", trust_env=False)
        assert answer.status_code == 401, (method, path)
        assert answer.json()["type"].endswith("/sign-in-needed")
        assert "www-authenticate" in answer.headers
        assert answer.headers["cache-control"] == "no-store"
        if method == "GET" and not path.startswith("/api"):
            page = Visit(base).get(f"{path}?call=7")
            assert (page.status_code, page.headers["location"]) == (303, f"/login?next={path}%3Fcall%3D7")


def test_owners_need_no_account(base, knowledge):
    """Their pages, the API and the engine keep nothing and stay open."""
    open_to_all = (
        "/", "/healthz", "/static/ink.css", "/static/account.css", "/owner/words", "/practice", "/api/v1/openapi.json",
    )  # fmt: skip
    for path in open_to_all:
        answer = httpx.get(f"{base}{path}", trust_env=False, timeout=30)  # practice reads its cases first
        assert answer.status_code == 200, path
        assert "set-cookie" not in answer.headers, path
    case = {"case": "open", "symptoms": {"low-salt-warning": "yes"}}
    answer = httpx.post(f"{base}/api/v1/diagnose", json=case, trust_env=False, timeout=30)
    assert answer.status_code == 200
    # Practice keeps nothing either, so its form carries no token.
    page = httpx.get(f"{base}/practice", trust_env=False, timeout=30).text
    sent = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', page))
    assert "form-token" not in sent
    answer = httpx.post(f"{base}/practice", data={**sent, "text": "is the water cloudy"}, trust_env=False, timeout=30)
    assert (answer.status_code, "loudy" in answer.text) == (200, True)
    assert httpx.post(f"{base}/api/v1/practice/start", json={}, trust_env=False, timeout=30).status_code == 200


SPELLINGS = (
    "/desk/users/", "//desk/users", "/desk//users", "/DESK/users", "/desk/%75sers", "/static/../desk/users",
    "/static/..%2fdesk%2fusers", "/desk/users%00", "/desk/users;x=1", "/desk/users%2f..%2ftrail", "/./desk/users",
    "/login/../desk/users", "/api/v1/desk/../../../desk/users", "/desk\\users", "/static/..%5caccount.css",
    "/login?next=/desk/users", "/desk/users?form-token=1", "/healthz/../desk/users",
)  # fmt: skip


def test_no_spelling_of_an_address_leads_in(base):
    """Sent as it stands, since clients tidy up addresses."""
    port = int(base.rpartition(":")[2])
    for path in SPELLINGS:
        with socket.create_connection(("127.0.0.1", port), timeout=10) as line:
            line.sendall(f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n".encode())
            told = b"".join(iter(lambda line=line: line.recv(65536), b""))
        status = int(told.split(b" ", 2)[1])
        assert status in (303, 307, 400, 401, 404) or b"Sign in to the desk" in told, told[:200]
        assert b"passphrase of" not in told
        assert b"<b>mo</b>" not in told


# Signing in


def test_signing_in_and_out(visit):
    """Name in capitals, on to where one wanted to go; out again, and the session is worth nothing."""
    answer = visit.sign_in("KIM", WORDS, next="/account")
    assert (answer.status_code, answer.headers["location"]) == (303, "/account")
    page = visit.get("/account")
    assert "kim, agent" in page.text
    told = visit.get("/api/v1/desk").json()
    assert (told["agent"], told["role"], told["signed-in"]) == ("kim", "agent", True)
    token = visit.session
    assert visit.get("/login").headers["location"] == "/account"
    out = visit.filled("/account", "/logout", where="here")
    assert (out.status_code, out.headers["location"]) == (303, "/login")
    assert out.headers["clear-site-data"] == '"cache"'
    assert visit.session == ""
    assert visit.get("/account", Cookie=f"saltriage-session={token}").status_code == 303


def test_cookies_are_shut(visit):
    """RFC 6265bis: not for script, not from other sites, for this host alone, until the browser closes."""
    answer = visit.sign_in()
    lines = answer.headers.get_list("set-cookie")
    assert {line.partition("=")[0] for line in lines} == {"saltriage-session", "saltriage-form"}
    for line in lines:
        parts = {part.strip().lower() for part in line.split(";")[1:]}
        assert parts == {"httponly", "path=/", "samesite=strict"}


def test_no_session_is_fixed(base, accounts):
    """A session that somebody planted, known or invented, is not the one after signing in."""
    lee = Visit(base)
    lee.sign_in("lee", LEE)
    for planted in ("known-to-somebody", lee.session):
        victim = Visit(base)
        victim.client.cookies.set("saltriage-session", planted, domain="127.0.0.1", path="/")
        token = victim.token() or victim.token("/account")
        answer = victim.post("/login", {"form-token": token, "name": "kim", "password": WORDS})
        assert answer.status_code == 303
        fresh = re.search(r"saltriage-session=([^;]+)", answer.headers["set-cookie"])[1]
        assert fresh != planted
        assert Visit(base).get("/account", Cookie=f"saltriage-session={planted}").status_code == 303
        assert "kim" in Visit(base).get("/account", Cookie=f"saltriage-session={fresh}").text


FORGED = ("", "x", "x" * 5000, "' OR '1'='1", "%00", "../../etc/passwd", '"quoted"', "a=b", "\u00c3\u00a9")


def test_a_forged_cookie_is_nobody(kim):
    for cookie in FORGED:
        headers = {"Cookie": f"saltriage-session={cookie}".encode("latin-1")}
        answer = httpx.get(f"{kim.base}/api/v1/desk", headers=headers, trust_env=False)
        assert answer.status_code == 401, cookie


def test_the_mark_in_the_table_is_no_token(kim, accounts):
    with accounts.connected.reading() as opened:
        mark = opened.scalar(select(sessions.c.mark))
    assert Visit(kim.base).get("/account", Cookie=f"saltriage-session={mark}").status_code == 303


def test_an_expired_session_is_nobody(kim, clock):
    clock.on(61 * 60)
    assert kim.get("/account").headers["location"] == "/login?next=/account"


def test_wrong_name_and_wrong_passphrase_are_answered_alike(base):
    pages = []
    for name, password in (("kim", "not the one it is"), ("nobody", WORDS), ("", ""), ("kim\x00", WORDS)):
        answer = Visit(base).sign_in(name, password)
        assert answer.status_code == 401
        assert "set-cookie" not in answer.headers or "session" not in answer.headers["set-cookie"]
        pages.append(re.sub(r'name="form-token" value="[^"]*"', "", answer.text))
    assert len(set(pages)) == 1
    assert "The name or the passphrase is wrong." in pages[0]


@pytest.mark.parametrize(
    "name",
    ["' OR 1=1 --", "kim'; DROP TABLE users; --", 'kim") OR ("1"="1', "%", "kim' UNION SELECT * FROM users --"],
)
def test_orders_to_the_database_are_names_that_nobody_has(base, accounts, name):
    assert Visit(base).sign_in(name, WORDS).status_code == 401
    assert Visit(base).sign_in("kim", name).status_code == 401
    assert len(accounts.users.all()) == 3
    Visit(base).sign_in()


def test_guessing_has_to_wait(base, clock):
    """Whatever the browser says of where it comes from: without a proxy of ours nobody is believed that."""
    statuses = []
    for number in range(8):
        visit = Visit(base, {"X-Forwarded-For": f"192.0.2.{number}"})
        answer = visit.sign_in("kim", "a guess that is wrong")
        statuses.append(answer.status_code)
    assert statuses == [401] * 5 + [429] * 3
    assert int(answer.headers["retry-after"]) == 1
    assert "Wait 1 seconds" in answer.text
    assert Visit(base).sign_in().status_code == 429, "the right one gets in while it has to wait"
    program = Visit(base, {"Accept": "application/json"})
    told = program.filled("/login", "/login", name="kim", password=WORDS)
    assert (told.status_code, told.json()["type"]) == (429, "/api/v1/problems/too-many-tries")
    clock.on(1)
    assert Visit(base).sign_in().status_code == 303


@pytest.mark.parametrize(
    "onward",
    [
        "https://other.example/", "//other.example", "/\\other.example", "\\\\other.example", "javascript:alert(1)",
        "/\t/other.example", "/\n/other.example", "", "account", "/é", "/" + "x" * 600, "http:other.example",
    ],
)  # fmt: skip
def test_signing_in_leads_nowhere_else(onward):
    assert local_path(onward, "/account") == "/account"


def test_signing_in_leads_on_only_here(base):
    for onward, reached in (("//other.example", "/account"), ("/desk/trail?call=7", "/desk/trail?call=7")):
        answer = Visit(base).sign_in("lee", LEE, next=onward)
        assert answer.headers["location"] == reached


# Requests from elsewhere


FOREIGN = {
    "another site": {"Origin": "https://other.example", "Sec-Fetch-Site": "cross-site"},
    "another site, an older browser": {"Origin": "https://other.example", "Sec-Fetch-Site": ""},
    "another port": {"Origin": "http://127.0.0.1:1", "Sec-Fetch-Site": "same-site"},
    "another port, an older browser": {"Origin": "http://127.0.0.1:1", "Sec-Fetch-Site": ""},
    "another scheme": {"Origin": "https://127.0.0.1", "Sec-Fetch-Site": ""},
    "a page that hides": {"Origin": "null", "Sec-Fetch-Site": "cross-site"},
    "a page that hides, an older browser": {"Origin": "null", "Sec-Fetch-Site": ""},
    "nothing said": {"Origin": "", "Sec-Fetch-Site": ""},
    "a beginning that is ours": {"Origin": "http://127.0.0.1.other.example", "Sec-Fetch-Site": ""},
}


def test_another_page_cannot_act_for_who_is_signed_in(mo, accounts):
    """Even one that had got hold of the token of a form."""
    for name, headers in FOREIGN.items():
        answer = mo.filled("/desk/users", "/desk/users", headers, do="remove", name="kim")
        assert (answer.status_code, "comes from a page of another site" in answer.text) == (403, True), name
    assert len(accounts.users.all()) == 3


def test_a_page_that_hides_where_it_is_but_is_ours(mo):
    """Browsers hide it under the policy `no-referrer`, and say all the same that it is the same site."""
    answer = mo.filled("/desk/users", "/desk/users", {"Origin": "null"}, do="unlock", name="kim")
    assert answer.status_code == 303


def test_a_form_without_its_token_changes_nothing(mo, base, accounts):
    """None, empty, invented, cut, twice, of another browser, of before signing in, and as other kinds of body."""
    other = Visit(base)
    other.sign_in("mo", MO)
    early = Visit(base)
    before = early.token()
    early.sign_in("mo", MO)
    own = mo.token("/desk/users")
    order = {"do": "remove", "name": "kim"}
    for token in ("", "x", own[:-1], own + "0", own.upper(), own.partition(".")[2], other.token("/desk/users"), "é."):
        answer = mo.post("/desk/users", {"form-token": token, **order})
        assert (answer.status_code, "before you signed in" in answer.text) == (403, True), token
    assert mo.post("/desk/users", order).status_code == 403
    assert early.post("/desk/users", {"form-token": before, **order}).status_code == 403
    twice = f"form-token={own}&form-token={own}&do=remove&name=kim"
    for body, kind in (
        (twice, "application/x-www-form-urlencoded"),
        (f"do=remove&name=kim&x={own}", "text/plain"),
        (f"do=remove&name=kim&x={own}", ""),
        ("\xff\xfe", "application/x-www-form-urlencoded"),
        ('--a\r\nContent-Disposition: form-data; name="do"\r\n\r\nremove\r\n--a--', "multipart/form-data; boundary=a"),
    ):
        headers = {"Origin": base, "Sec-Fetch-Site": "same-origin"} | ({"Content-Type": kind} if kind else {})
        answer = mo.client.post("/desk/users", content=body.encode("latin-1"), headers=headers)
        assert answer.status_code == 403, kind
    json_sent = mo.client.post("/desk/users", json=order, headers={"Origin": base})
    assert json_sent.status_code == 415
    assert len(accounts.users.all()) == 3
    assert mo.post("/desk/users", {"form-token": own, **order}).status_code == 303
    assert len(accounts.users.all()) == 2


def test_a_planted_key_makes_no_form_good(mo, base, accounts):
    """Somebody who gets a cookie of his own into another's browser knows its key, but not the session."""
    attacker = Visit(base)
    known = attacker.token()
    mo.client.cookies.set("saltriage-form", attacker.client.cookies["saltriage-form"], domain="127.0.0.1", path="/")
    answer = mo.post("/desk/users", {"form-token": known, "do": "remove", "name": "kim"})
    assert answer.status_code == 403
    assert len(accounts.users.all()) == 3


def test_nobody_is_signed_in_by_another_page(base):
    """As somebody else, so that what he types lands in that one's hands."""
    victim = Visit(base)
    for name in ("another site", "another site, an older browser", "a page that hides"):
        assert victim.filled("/login", "/login", FOREIGN[name], name="lee", password=LEE).status_code == 403
    planted = Visit(base).token()
    assert victim.post("/login", {"form-token": planted, "name": "lee", "password": LEE}).status_code == 403
    assert victim.session == ""


def test_nobody_is_signed_out_by_another_page(kim):
    assert kim.filled("/account", "/logout", FOREIGN["another site"], where="everywhere").status_code == 403
    assert kim.get("/logout").headers["location"] == "/account"
    assert kim.get("/account").status_code == 200


# Roles


@pytest.mark.parametrize(
    ("path", "allowed"),
    [
        ("/account", "kim lee mo"),
        ("/api/v1/desk", "kim lee mo"),
        ("/support", "kim lee mo"),
        ("/support/figures", "lee mo"),
        ("/support/figures.csv", "lee mo"),
        ("/api/v1/desk/figures", "lee mo"),
        ("/api/desk/figures", "lee mo"),
        ("/desk/trail", "lee mo"),
        ("/desk/users", "mo"),
    ],
)
def test_each_role_sees_its_own_pages(base, path, allowed):
    """403 as a page for browsers and as problem details for programs; the links are shown to who may follow them."""
    for name, password in (("kim", WORDS), ("lee", LEE), ("mo", MO)):
        visit = Visit(base)
        visit.sign_in(name, password)
        answer = visit.get(path)
        assert answer.status_code == (200 if name in allowed.split() else 403), name
        is_page = "/api" not in path and ".csv" not in path
        assert (f'href="{path}"' in visit.get("/account").text) is (name in allowed.split() and is_page)
        if name not in allowed.split():
            assert "Your role does not allow this" in answer.text
            told = visit.get(path, Accept="application/json")
            assert (told.status_code, told.json()["type"]) == (403, "/api/v1/problems/not-allowed")


def test_the_rail_of_the_desk_shows_who_works_and_where_he_may_go(base):
    """One's own account, named; figures only to who may see them, also on the page of figures."""
    for name, password, sees in (("kim", WORDS, False), ("lee", LEE, True)):
        visit = Visit(base)
        visit.sign_in(name, password)
        page = visit.get("/support").text
        assert re.search(rf'<a href="/account">.*>{name}</a>', page)
        assert ('href="/support/figures"' in page) is sees
    assert re.search(r'<a href="/account">.*>lee</a>', visit.get("/support/figures").text)


def test_a_desk_without_accounts_has_no_link_to_one(alone):
    page = Visit(alone).get("/support").text
    assert 'href="/account"' not in page
    assert 'href="/support/figures"' in page


def test_a_page_of_one_agent_is_not_served_as_another(kim, desk):
    """Another signed in beside it, in the same browser: neither what it shows nor what it sends is his."""
    for name, status in (("kim", 200), ("", 200), ("mo", 403), ("%6Di", 403), ("%FF", 403)):
        headers = {"Saltriage-Agent": name} if name else {}
        for method, path, body in (("GET", "", None), ("POST", "/search", {"words": "tolben"}), CHANGES[0]):
            sent = {"Origin": kim.base, **headers}
            answer = kim.client.request(method, f"/api/v1/desk{path}", json=body, headers=sent)
            assert answer.status_code == status, (name, method)
            assert status == 200 or answer.json()["type"] == "/api/v1/problems/another-agent"
    assert {each.by for each in desk.since("")} == {"kim"}


# Who looked


def test_whoever_is_given_a_whole_call_is_in_the_trail(base, accounts, desk, knowledge):
    """Not only who opens it: also who comes too late to save, and who changes nothing."""
    from sample_calls import MARA, RAIN, diagnosed

    kept = desk.take(diagnosed(RAIN, knowledge, MARA, by="mo"))
    again = {"seen": 1, "case": kept.case, "person": asdict(MARA), "asked": kept.asked, "minutes": kept.minutes}
    ways = {
        "get": ("GET", "", None),
        "too late": ("PUT", "", {"seen": 0, "case": RAIN, "person": None}),
        "the same again": ("PUT", "", {**again, "questions": kept.questions}),
        "reopen": ("POST", "/reopen", {}),
        "looked": ("POST", "/looked", {}),
    }
    for way, (method, path, body) in ways.items():
        number = desk.take(diagnosed(RAIN, knowledge, MARA, by="mo")).number
        if way == "looked":
            desk.looked(number, "mo", after(now(), 10_000))  # nothing is due any more
        uid, version = desk.call(number).uid, desk.call(number).version
        kim = Visit(base)
        kim.sign_in()
        answer = kim.client.request(method, f"/api/v1/desk/calls/{uid}{path}", json=body, headers={"Origin": base})
        assert answer.status_code == (409 if way == "too late" else 200), way
        assert "Tolben" in answer.text
        assert desk.call(number).version == version, way
        assert [line.did for _, line in trail(desk.connected, who="kim", call=number)] == ["saw"], way


def test_a_note_twice_and_an_outcome_twice_were_seen(base, accounts, desk, knowledge):
    """The second changes nothing and gives the whole call all the same."""
    from sample_calls import MARA, RAIN, diagnosed

    number = desk.take(diagnosed(RAIN, knowledge, MARA, by="mo")).number
    kim = Visit(base)
    kim.sign_in()
    for path, body in (("note", {"text": "rang"}), ("close", {"remark": "none"})):
        dids = []
        for _ in range(2):
            answer = kim.client.post(f"/api/v1/desk/calls/{number}/{path}", json=body, headers={"Origin": base})
            assert answer.status_code == 200
            dids.append([line.did for _, line in trail(desk.connected, who="kim", call=number)])
        assert len(dids[1]) - len(dids[0]) == (1 if path == "note" else 0), "at most once in a quarter of an hour"
    assert dids[1].count("saw") == 1


def test_a_call_that_is_not_there_was_seen_by_nobody(kim, desk):
    for name in ("7", "00000000-0000-0000-0000-000000000007"):
        assert kim.get(f"/api/v1/desk/calls/{name}").status_code == 404
    assert [line.did for _, line in trail(desk.connected, who="kim")] == ["logged in"]


def test_who_searched_is_in_the_trail_without_what_for(kim, desk, knowledge):
    from sample_calls import MARA, RAIN, diagnosed

    desk.take(diagnosed(RAIN, knowledge, MARA, by="mo"))
    for body in ({"words": "tolben"}, {"phone": "0171 555 0134"}):
        answer = kim.client.post("/api/v1/desk/search", json=body, headers={"Origin": kim.base})
        assert len(answer.json()["calls"]) == 1
    told = [(line.did, line.what) for _, line in trail(desk.connected, who="kim")]
    assert told == [("searched", ("1 calls",)), ("logged in", ())]


@pytest.mark.parametrize("which", WHICH["enum"])
def test_who_was_shown_a_list_is_in_the_trail(kim, desk, knowledge, which):
    """A list names callers. It is asked for every ten seconds, and written once in a quarter of an hour."""
    from sample_calls import MARA, RAIN, diagnosed

    def shown() -> list[tuple[str, tuple[str, ...]]]:
        for _ in range(2):
            assert kim.get(f"/api/v1/desk/calls?which={which}").status_code == 200
        lines = trail(desk.connected, who="kim")
        return [(line.did, tuple(line.what)) for _, line in lines if line.did != "logged in"]

    assert shown() == []  # nobody's name was in it
    taken = desk.take(diagnosed(RAIN, knowledge, MARA, by="mo"))
    desk.save(replace(taken, ring_back="2026-01-01T00:00:00Z"), "mo", taken.version)  # so it is due as well
    told = (f"listed {which}", ("1 calls",))
    assert shown() == [told]
    kim.get(f"/api/v1/desk/calls?which={'all' if which == 'today' else 'today'}")
    assert len(shown()) == 2, "each list for itself"
    with desk.connected.writing() as opened:
        opened.execute(update(audit).values(at="2026-01-01T00:00:00Z"))
    assert shown().count(told) == 2


# Another page and the calls


CHANGES = (
    ("PUT", "/calls/00000000-0000-0000-0000-000000000007", {"seen": 0, "case": {"case": "open"}, "person": None}),
    ("POST", "/calls/1/note", {"text": "from elsewhere"}),
    ("POST", "/calls/1/close", {"remark": "from elsewhere"}),
    ("POST", "/calls/1/reopen", {}),
    ("POST", "/calls/1/looked", {}),
    ("POST", "/search", {"words": "tolben"}),
)


@pytest.mark.parametrize(("method", "path", "body"), CHANGES)
def test_another_page_changes_no_call(kim, desk, knowledge, method, path, body):
    """With the cookie and as JSON, from each foreign place; and from our own place as a form without its token."""
    from sample_calls import MARA, RAIN, diagnosed

    number = desk.take(diagnosed(RAIN, knowledge, MARA, by="mo")).number
    before = desk.call(number)
    for base in ("/api/v1/desk", "/api/desk"):
        for name, headers in FOREIGN.items():
            sent = {key: value for key, value in headers.items() if value}
            answer = kim.client.request(method, base + path, json=body, headers=sent)
            assert (answer.status_code, "comes from a page of another site" in answer.text) == (403, True), name
        own = {"Origin": kim.base, "Sec-Fetch-Site": "same-origin"}
        assert kim.client.request(method, base + path, data={"text": "x"}, headers=own).status_code == 403
    assert desk.call(number) == before
    assert len(desk.since("")) == 1
    assert kim.client.request(method, f"/api/v1/desk{path}", json=body, headers=own).status_code == 200


def test_a_wrong_role_changes_nothing(base, accounts):
    lee = Visit(base)
    lee.sign_in("lee", LEE)
    for order in ({"do": "role", "name": "lee", "role": "maintainer"}, {"do": "remove", "name": "mo"}):
        assert lee.post("/desk/users", {"form-token": lee.token("/account"), **order}).status_code == 403
    assert {each.name: each.role for each in accounts.users.all()} == {
        "kim": "agent",
        "lee": "lead",
        "mo": "maintainer",
    }


def test_a_role_counts_from_the_moment_it_is_taken(mo, base):
    lee = Visit(base)
    lee.sign_in("lee", LEE)
    assert lee.get("/desk/trail").status_code == 200
    assert mo.filled("/desk/users", "/desk/users", do="role", name="lee", role="agent").status_code == 303
    assert lee.get("/desk/trail").headers["location"] == "/login?next=/desk/trail"
    lee.sign_in("lee", LEE)
    assert lee.get("/desk/trail").status_code == 403


# What the pages do


def test_a_maintainer_looks_after_accounts(mo, base, accounts):
    page = mo.filled("/desk/users", "/desk/users", do="add", name="Ines", role="agent", password="short")
    assert page.status_code == 422
    assert "has 5 signs, and 15 are the least" in page.text
    made = mo.filled("/desk/users", "/desk/users", do="add", name="Ines", role="agent", password=LEE + " twice")
    assert made.status_code == 303
    assert "<b>ines</b>" in mo.get("/desk/users").text
    ines = Visit(base)
    assert ines.sign_in("ines", LEE + " twice").status_code == 303
    for order, said in (
        ({"do": "remove", "name": "mo"}, "last maintainer"),
        ({"do": "role", "name": "mo", "role": "lead"}, "last maintainer"),
        ({"do": "role", "name": "ines", "role": "king"}, "one of agent, lead, maintainer"),
        ({"do": "add", "name": "ines", "role": "agent", "password": MO}, "There is ines already"),
        ({"do": "remove", "name": "nobody"}, "There is no account nobody"),
        ({"do": "crown", "name": "ines"}, "does not say what to do"),
    ):
        page = mo.filled("/desk/users", "/desk/users", **order)
        assert (page.status_code, said in page.text) == (422, True), order
    assert (
        mo.filled("/desk/users", "/desk/users", do="password", name="ines", password=WORDS + " new").status_code == 303
    )
    assert ines.get("/account").status_code == 303
    assert ines.sign_in("ines", WORDS + " new").status_code == 303
    assert mo.filled("/desk/users", "/desk/users", do="remove", name="ines").status_code == 303
    assert ines.get("/account").status_code == 303


def test_ones_own_passphrase_is_changed(kim, base):
    """Signed out everywhere else, and with a new session here."""
    elsewhere, token = Visit(base), kim.session
    elsewhere.sign_in()
    wrong = kim.filled("/account", "/account/password", old="not the one it is", new=MO, again=MO)
    assert (wrong.status_code, "of today is wrong" in wrong.text) == (401, True)
    assert "not the same" in kim.filled("/account", "/account/password", old=WORDS, new=MO, again=LEE).text
    assert "15 are the least" in kim.filled("/account", "/account/password", old=WORDS, new="x", again="x").text
    assert kim.get("/account").status_code == 200
    changed = kim.filled("/account", "/account/password", old=WORDS, new=MO + " x", again=MO + " x")
    assert changed.headers["location"] == "/account?changed=yes"
    assert kim.session != token
    assert "signed out everywhere else" in kim.get("/account?changed=yes").text
    assert elsewhere.get("/account").status_code == 303
    assert elsewhere.sign_in("kim", MO + " x").status_code == 303


def test_out_everywhere(kim, base):
    elsewhere = Visit(base)
    elsewhere.sign_in()
    assert kim.filled("/account", "/logout", where="everywhere").status_code == 303
    for visit in (kim, elsewhere):
        assert visit.get("/account").status_code == 303


def test_the_trail_is_read_by_call_and_person(base, accounts, desk, knowledge):
    """What was told to it is shown as text; no name, number or word of a caller is in it."""
    from sample_calls import MARA, RAIN, diagnosed

    number = desk.take(diagnosed(RAIN, knowledge, MARA, by="<img src=x onerror=alert(1)>")).number
    desk.note(number, "secret of a caller", "kim")
    lee = Visit(base)
    lee.sign_in("lee", LEE)
    page = lee.get("/desk/trail").text
    assert "&lt;img src=x" in page
    assert "<img" not in page
    assert "secret" not in page
    assert "Tolben" not in page
    rows = lee.get(f"/desk/trail?call={number}").text
    assert rows.count("<tr>") == 3
    assert lee.get("/desk/trail?who=kim").text.count('<td class="named">kim</td>') == 1
    asked = lee.get('/desk/trail?who="><script>alert(1)</script>').text
    assert "<script" not in asked
    assert "Nothing of that" in asked
    for bad in ("call=x", "call=-1", "before=1e9", "call=99999999999", "call=²"):
        assert lee.get(f"/desk/trail?{bad}").status_code == 422, bad
    with desk.connected.writing() as opened:
        from saltriage.desk.audit import AuditLine, note_down_many

        note_down_many(opened, [AuditLine(now(), "kim", "saw", number)] * 150)
    first = lee.get("/desk/trail?who=kim").text
    earlier = re.search(r'href="(/desk/trail\?[^"]*before=[^"]*)"', first)[1].replace("&amp;", "&")
    assert first.count('<td class="named">kim</td>') == 100
    assert lee.get(earlier).text.count('<td class="named">kim</td>') == 51


def test_every_page_is_shut(mo):
    """Nothing is kept by browsers or proxies, no script runs, no other site frames it."""
    for path in ("/login", "/account", "/desk/trail", "/desk/users", "/api/v1/desk"):
        answer = mo.get(path)
        assert answer.headers["cache-control"] == "no-store", path
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert "<script" not in answer.text
        assert " style=" not in answer.text
        assert " onclick" not in answer.text


def test_bodies_have_an_end(base, kim):
    for size, status in ((17 * 1024, 413), (600 * 1024, 413)):
        assert Visit(base).post("/login", {"name": "x" * size, "password": "x"}).status_code == status
        assert kim.post("/logout", {"where": "x" * size}).status_code == status
    fields = {f"field{number}": "x" for number in range(1200)}
    assert Visit(base).filled("/login", "/login", **fields).status_code == 422
    assert Visit(base).sign_in("kim", "x" * 10_000).status_code == 401


def test_who_came_and_went_is_in_the_trail(kim, base, accounts):
    Visit(base).sign_in("kim", "not the one it is")
    kim.filled("/account", "/logout", where="everywhere")
    told = [(line.who, line.did) for _, line in trail(accounts.connected, who="kim")]
    assert told[:3] == [("kim", "logged out"), ("kim", "was refused"), ("kim", "logged in")]


# A desk of this computer alone


@pytest.fixture
def alone(address, clock, knowledge) -> Iterator[str]:
    """A server of a desk without accounts, on this computer alone."""
    with running(knowledge, Settings(desk=DeskSettings(address, "here", clock=clock, cheap_passwords=True))) as found:
        yield found


def test_here_no_account_is_needed_until_there_is_one(alone):
    """From that moment on everybody must sign in, also whoever made it."""
    visit = Visit(alone)
    told = visit.get("/api/v1/desk").json()
    assert (told["agent"], told["role"], told["signed-in"]) == ("here", "maintainer", False)
    assert visit.get("/login").headers["location"] == "/account"
    assert "has no accounts" in visit.get("/account").text
    page = visit.filled("/desk/users", "/desk/users", do="add", name="kim", role="agent", password=WORDS)
    assert "--role maintainer" in page.text
    assert visit.post("/desk/users", {"do": "add", "name": "kim", "role": "maintainer"}).status_code == 403
    made = visit.filled("/desk/users", "/desk/users", do="add", name="kim", role="maintainer", password=WORDS)
    assert made.status_code == 303
    assert visit.get("/desk/users").headers["location"] == "/login?next=/desk/users"
    assert visit.sign_in().status_code == 303
    assert visit.get("/desk/users").status_code == 200


def test_here_too_another_page_gets_nothing(alone):
    """Its reader's browser can reach this computer; the cookie of forms and where it comes from keep it out."""
    visit = Visit(alone)
    for headers in FOREIGN.values():
        if headers["Origin"]:
            assert visit.filled("/desk/users", "/desk/users", headers, do="add", name="x").status_code == 403
    assert visit.post("/desk/users", {"do": "add"}, {"Origin": "", "Sec-Fetch-Site": ""}).status_code == 403


# Behind a proxy


@pytest.fixture
def proxied(accounts, settings, knowledge) -> Iterator[str]:
    from dataclasses import replace

    with running(knowledge, replace(settings, behind_proxy=True)) as found:
        yield found


def by_proxy(base: str, address: str = "192.0.2.1", proto: str = "https") -> Visit:
    """A browser whose requests a proxy hands on; cookies over TLS are kept though the test's line has none."""
    return Visit(base, {"X-Forwarded-Proto": proto, "X-Forwarded-For": f"203.0.113.9, {address}"})


def proxy_sign_in(visit: Visit, password: str = WORDS) -> httpx.Response:
    page = visit.get("/login")
    key = re.search(r"__Host-saltriage-form=([^;]+)", page.headers["set-cookie"])[1]
    token = re.search(r'name="form-token" value="([^"]+)"', page.text)[1]
    headers = {"Origin": visit.base.replace("http:", "https:"), "Cookie": f"__Host-saltriage-form={key}"}
    return visit.post("/login", {"form-token": token, "name": "kim", "password": password}, headers)


def test_behind_a_proxy_cookies_are_for_tls_alone(proxied):
    """The prefix __Host- asks for Secure, the path / and no Domain (RFC 6265bis, section on prefixes, from memory)."""
    answer = proxy_sign_in(by_proxy(proxied))
    assert answer.status_code == 303
    for line in answer.headers.get_list("set-cookie"):
        name, _, rest = line.partition("=")
        parts = {part.strip().lower() for part in rest.split(";")[1:]}
        assert name.startswith("__Host-saltriage-")
        assert parts == {"httponly", "path=/", "samesite=strict", "secure"}
    session = re.search(r"__Host-saltriage-session=([^;]+)", str(answer.headers.get_list("set-cookie")))[1]
    visit = by_proxy(proxied)
    assert visit.get("/account", Cookie=f"__Host-saltriage-session={session}").status_code == 200
    assert visit.get("/account", Cookie=f"saltriage-session={session}").status_code == 303, "a planted one counts"


@pytest.mark.parametrize("proto", ["http", "", "https, http", "HTTP"])
def test_what_came_to_the_proxy_in_the_clear_is_refused(proxied, proto):
    visit = by_proxy(proxied, proto=proto)
    for path in ("/login", "/account", "/api/v1/desk"):
        answer = visit.get(path)
        assert answer.status_code == 403, path
    assert visit.post("/login", {"name": "kim", "password": WORDS}).status_code == 403
    assert "https" in visit.get("/login").text


def test_behind_a_proxy_the_address_is_the_one_it_names_last(proxied):
    """What stands before it the browser itself may have written."""
    statuses = {proxy_sign_in(by_proxy(proxied, "198.51.100.1"), "wrong and long enough").status_code for _ in range(5)}
    assert statuses == {401}
    assert proxy_sign_in(by_proxy(proxied, "198.51.100.1")).status_code == 429


def test_without_a_proxy_nobody_is_believed_to_have_come_over_tls(visit):
    answer = visit.sign_in(next="/account")
    assert "__Host-" not in str(Visit(visit.base, {"X-Forwarded-Proto": "https"}).get("/login").headers)
    assert answer.status_code == 303


def test_nothing_of_a_passphrase_is_shown_or_kept(base, accounts):
    """Typed as name or as passphrase, right or wrong."""
    page = Visit(base).sign_in("my secret instead of a name", "my-secret-as-typed")
    assert "secret" not in page.text
    with accounts.connected.reading() as opened:
        kept = str(opened.execute(select(users.c.password)).all())
    for words in (WORDS, MO, LEE):
        assert words not in kept
