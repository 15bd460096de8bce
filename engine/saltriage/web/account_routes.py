"""Signing in and out, one's own account, who saw what, and who may work here: pages that need no script."""

from collections.abc import Mapping
from pathlib import Path
from urllib.parse import parse_qsl, urlencode

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from saltriage.desk.accounts.logging_in import LoginAnswer
from saltriage.desk.accounts.passwords import LEAST_SIGNS
from saltriage.desk.accounts.roles import Role
from saltriage.desk.seeing import trail
from saltriage.desk.times import local
from saltriage.errors import UsageRefused
from saltriage.report.shared.page_engine import environment
from saltriage.web.kept_desk import Acting, Endpoint, KeptDesk
from saltriage.web.problems import Problem
from saltriage.web.refusing import wants_page
from saltriage.web.visitors import TOKEN_FIELD, local_path

__all__ = ["account_routes", "sign_in_routes"]

_TEMPLATES = Path(__file__).parent / "templates"
_MOST_BYTES = 16 * 1024  # of a form here, which holds a name and three passphrases at most
_MOST_FIELDS = 20
_LINES = 100  # of the trail on a page
_HOME = "/account"


class _AccountPages:
    """The endpoints for one desk."""

    def __init__(self, kept: KeptDesk) -> None:
        self.kept = kept

    # Signing in

    async def sign_in_page(self, request: Request) -> Response:
        onward = local_path(request.query_params.get("next", ""), _HOME)
        try:
            await self.kept.acting(request, "look")
        except Problem as problem:
            if problem.kind not in ("sign-in-needed", "foreign-page"):  # a link in a mail leads here, too
                raise
            return self._page(request, "login.html.j2", {"onward": onward, "name": "", "trouble": "", "who": None})
        return RedirectResponse(onward, 303)

    async def sign_in(self, request: Request) -> Response:
        form = await self._form(request)
        name, onward = form.get("name", ""), local_path(form.get("next", ""), _HOME)
        password, address = form.get("password", ""), self.kept.visitors.address(request)
        old, accounts = self.kept.visitors.token(request), self.kept.accounts
        answer = await self.kept.hashing(lambda: accounts.log_in(name, password, address, old))
        if answer.token:
            onward_now = RedirectResponse(onward, 303)
            self.kept.visitors.sign_in(request, onward_now, answer.token)
            return onward_now
        if not wants_page(request.url.path, request.headers.get("accept", "*/*")):
            raise _problem(answer)
        # The name is not shown again: people type their passphrase there.
        values = {"onward": onward, "name": "", "trouble": _trouble(answer), "who": None}
        return _refused(answer, self._page(request, "login.html.j2", values))

    async def sign_out(self, request: Request) -> Response:
        form = await self._form(request)
        token, accounts = self.kept.visitors.token(request), self.kept.accounts

        def out() -> None:
            who = accounts.who(token)
            if who is not None and form.get("where") == "everywhere":
                accounts.log_out_everywhere(who.name)
            accounts.log_out(token)

        await self.kept.work.run(out)
        answer = RedirectResponse("/login", 303)
        self.kept.visitors.sign_out(request, answer)
        return answer

    # One's own account

    async def account(self, request: Request) -> Response:
        who = await self.kept.acting(request, "look")
        return self._account(request, who)

    async def change_password(self, request: Request) -> Response:
        who = await self.kept.acting(request, "look")
        if not who.signed_in:
            raise Problem("not-found")
        form = await self._form(request)
        if form.get("new", "") != form.get("again", ""):
            return self._account(request, who, "The two new passphrases are not the same.", 422)
        old, new, address = form.get("old", ""), form.get("new", ""), self.kept.visitors.address(request)
        accounts = self.kept.accounts
        try:
            answer = await self.kept.hashing(lambda: accounts.change_password(who.name, old, new, address))
        except Problem as problem:
            return self._account(request, who, _sentence(problem), 422)
        if not answer.token:
            trouble = _trouble(answer) if answer.wait_s else "The passphrase of today is wrong."
            return _refused(answer, self._account(request, who, trouble))
        changed = RedirectResponse("/account?changed=yes", 303)
        self.kept.visitors.sign_in(request, changed, answer.token)
        return changed

    def _account(self, request: Request, who: Acting, trouble: str = "", status: int = 200) -> Response:
        values = {
            "who": who,
            "trouble": trouble,
            "changed": request.query_params.get("changed") == "yes" and not trouble,
            "least": LEAST_SIGNS,
        }
        return self._page(request, "account.html.j2", values, status)

    # Who saw what

    async def trail(self, request: Request) -> Response:
        asked = request.query_params
        call, before = (_number(asked.get(name, "")) for name in ("call", "before"))
        name = asked.get("who", "").strip()[:200]
        who, lines = await self.kept.run(
            request,
            "trail",
            lambda desk, who: (
                who,
                trail(desk.connected, who=name, call=call, before=before, most=_LINES + 1),
            ),
        )
        earlier = ""
        if len(lines) > _LINES:
            told = {"who": name, "call": call or "", "before": lines[_LINES - 1][0]}
            earlier = f"/desk/trail?{urlencode(told)}"
        rows = [
            {
                "day": local(line.at)[:10],
                "hour": local(line.at)[11:],
                "who": line.who,
                "did": line.did,
                "call": line.call or "",
                "what": ", ".join(line.what),
            }
            for _, line in lines[:_LINES]
        ]
        values = {"who": who, "rows": rows, "earlier": earlier, "name": name, "call": call or ""}
        return self._page(request, "trail.html.j2", values)

    # Who may work here

    async def users(self, request: Request) -> Response:
        return await self._users(request, await self.kept.acting(request, "accounts"))

    async def change_users(self, request: Request) -> Response:
        who = await self.kept.acting(request, "accounts")
        form = await self._form(request)
        try:
            await self.kept.hashing(lambda: self._changed(form, who.name))
        except Problem as problem:
            return await self._users(request, who, _sentence(problem), 422)
        return RedirectResponse("/desk/users", 303)

    def _changed(self, form: Mapping[str, str], by: str) -> None:
        users, name, password = self.kept.accounts.users, form.get("name", ""), form.get("password", "")
        match form.get("do"):
            case "add":
                users.add(name, _role(form), password, by)
            case "role":
                users.set_role(name, _role(form), by)
            case "password":
                users.set_password(name, password, by)
            case "remove":
                users.remove(name, by)
            case "unlock":
                users.unlock(name, by)
            case _:
                raise UsageRefused("the form does not say what to do; load the page anew")

    async def _users(self, request: Request, who: Acting, trouble: str = "", status: int = 200) -> Response:
        found = await self.kept.work.run(self.kept.accounts.users.all)
        rows = [{"name": each.name, "role": each.role, "changed": local(each.changed)} for each in found]
        values = {"who": who, "users": rows, "roles": list(Role), "trouble": trouble, "least": LEAST_SIGNS}
        return self._page(request, "users.html.j2", values, status)

    # What all of them need

    async def _form(self, request: Request) -> dict[str, str]:
        """The fields of a form from a page of ours. Raises: Problem."""
        if len(await request.body()) > _MOST_BYTES:
            raise Problem("too-large", f"A form here holds at most {_MOST_BYTES // 1024} kB.")
        await self.kept.visitors.check(request)
        media_type = request.headers.get("content-type", "").partition(";")[0].strip().lower()
        if media_type != "application/x-www-form-urlencoded":
            raise Problem("wrong-media-type", "This address takes the forms of the pages.")
        try:
            text = (await request.body()).decode()
            return dict(parse_qsl(text, keep_blank_values=True, errors="strict", max_num_fields=_MOST_FIELDS))
        except ValueError:
            raise Problem("request-refused", "The form cannot be read.") from None

    def _page(self, request: Request, template: str, values: Mapping[str, object], status: int = 200) -> Response:
        token, keep = self.kept.form_token(request)
        text = (
            environment(_TEMPLATES).get_template(template).render(**values, form_token=token, token_field=TOKEN_FIELD)
        )
        answer = Response(text, status, media_type="text/html", headers={"Referrer-Policy": "same-origin"})
        keep(answer)
        return answer


def _role(form: Mapping[str, str]) -> Role:
    try:
        return Role(form.get("role", ""))
    except ValueError:
        raise UsageRefused(f"the role is one of {', '.join(Role)}") from None


def _number(told: str) -> int | None:
    """A number of the desk; None where none was told. Raises: Problem: it is none."""
    plain = told.strip()
    if not plain:
        return None
    if not (plain.isascii() and plain.isdigit() and len(plain) < 10):
        raise Problem("request-refused", "A call has a number.")
    return int(plain)


def _sentence(problem: Problem) -> str:
    if problem.kind != "request-refused":
        raise problem
    return f"{problem.detail[:1].upper()}{problem.detail[1:]}."


def _trouble(answer: LoginAnswer) -> str:
    if answer.is_closed:
        return "This name was tried too often in vain and is closed. A maintainer can open it again."
    if answer.wait_s:
        wait = f"{answer.wait_s} seconds" if answer.wait_s < 90 else f"{round(answer.wait_s / 60)} minutes"
        return f"Too many tries. Wait {wait}, then try again."
    return "The name or the passphrase is wrong."


def _problem(answer: LoginAnswer) -> Problem:
    return Problem("too-many-tries" if answer.wait_s else "sign-in-needed", _trouble(answer))


def _refused(answer: LoginAnswer, page: Response) -> Response:
    """The page again, with the status of a refusal."""
    page.status_code = 429 if answer.wait_s else 401
    if answer.wait_s:
        page.headers["Retry-After"] = str(answer.wait_s)
    else:
        page.headers["WWW-Authenticate"] = 'Form realm="desk", page="/login"'
    return page


def sign_in_routes(kept: KeptDesk) -> list[Route]:
    """Routes that are open to who is not signed in."""
    pages = _AccountPages(kept)

    async def to_account(request: Request) -> Response:
        return RedirectResponse(_HOME, 303)

    return [
        Route("/login", pages.sign_in_page, methods=["GET"]),
        Route("/login", pages.sign_in, methods=["POST"]),
        Route("/logout", to_account, methods=["GET"]),
        Route("/logout", pages.sign_out, methods=["POST"]),
    ]


def account_routes(kept: KeptDesk) -> list[tuple[str, str, Endpoint]]:
    """Method, address and endpoint of the pages for who is signed in."""
    pages = _AccountPages(kept)
    return [
        ("GET", "/account", pages.account),
        ("POST", "/account/password", pages.change_password),
        ("GET", "/desk/trail", pages.trail),
        ("GET", "/desk/users", pages.users),
        ("POST", "/desk/users", pages.change_users),
    ]
