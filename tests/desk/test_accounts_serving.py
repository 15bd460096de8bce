"""`saltriage serve --desk` to other computers: what it refuses to start with, and HTTPS by its own files."""

import ssl
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
import trustme
from account_visits import MO, WORDS, staffed

from in_process import command
from saltriage.desk.accounts.users import Users
from saltriage.web.settings import DeskSettings, Settings, TlsFiles
from web_server import running


@pytest.fixture(scope="module")
def authority() -> trustme.CA:
    return trustme.CA()


@pytest.fixture(scope="module")
def files(authority, tmp_path_factory) -> TlsFiles:
    """A certificate for this computer and its key."""
    folder = tmp_path_factory.mktemp("tls")
    made = authority.issue_cert("127.0.0.1", "localhost")
    cert, key = folder / "cert.pem", folder / "key.pem"
    cert.write_bytes(b"".join(part.bytes() for part in made.cert_chain_pems))
    key.write_bytes(made.private_key_pem.bytes())
    return TlsFiles(str(cert), str(key))


@pytest.fixture
def maintained(desk, address) -> str:
    """The address of a desk that has an account."""
    staffed(desk, "mo")
    return address


OPEN = {
    "another address": ["--host", "0.0.0.0"],
    "another address, IPv6": ["--host", "::"],
    "another name": ["--host-name", "pool.example"],
}


@pytest.mark.parametrize("name", OPEN)
def test_nothing_crosses_a_network_in_the_clear(maintained, name, tmp_path):
    """Also where there are accounts; what is to be done is said."""
    done = command("serve", "--desk", maintained, *OPEN[name], at=tmp_path)
    assert done.returncode == 2
    for word in ("--tls-cert", "--tls-key", "--behind-proxy", "this computer alone"):
        assert word in done.stderr


@pytest.mark.parametrize("name", [*OPEN, "a proxy"])
def test_without_an_account_nobody_else_is_served(address, name, files, tmp_path):
    """How to make the first one is said, and can be typed as it stands."""
    if name == "a proxy":
        line = ["--behind-proxy"]
    else:
        line = [*OPEN[name], "--tls-cert", files.cert, "--tls-key", files.key]
    done = command("serve", "--desk", address, *line, at=tmp_path)
    assert done.returncode == 2
    assert "has no accounts" in done.stderr
    assert "saltriage desk users add NAME --role maintainer --at " in done.stderr
    if "://" not in address:
        words = done.stderr.partition("saltriage ")[2].replace("NAME", "mo").split()
        assert command(*words, at=tmp_path, given=MO + "\n").returncode == 0


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (["--tls-cert", "CERT"], "go together"),
        (["--tls-key", "KEY"], "go together"),
        (["--tls-cert", "CERT", "--tls-key", "KEY", "--behind-proxy"], "the proxy has them"),
        (["--tls-cert", "KEY", "--tls-key", "CERT"], "no certificate with its key"),
        (["--tls-cert", "CERT", "--tls-key", "OTHER"], "no certificate with its key"),
        (["--tls-cert", "CERT", "--tls-key", "LOCKED"], "without a passphrase"),
        (["--tls-cert", "CERT", "--tls-key", "TEXT"], "no certificate with its key"),
        (["--tls-cert", "nowhere.pem", "--tls-key", "KEY"], "nowhere.pem: No such file"),
    ],
)
def test_files_for_https_that_do_not_fit_are_refused(files, authority, line, said, tmp_path):
    """At the start, not at the first visitor."""
    from cryptography.hazmat.primitives import serialization

    other, locked, plain = tmp_path / "other.pem", tmp_path / "locked.pem", tmp_path / "plain.txt"
    other.write_bytes(authority.issue_cert("localhost").private_key_pem.bytes())
    key = serialization.load_pem_private_key(Path(files.key).read_bytes(), None)
    locked.write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.BestAvailableEncryption(b"hidden"),
        )
    )
    plain.write_text("not a key")
    named = {"CERT": files.cert, "KEY": files.key, "OTHER": other, "LOCKED": locked, "TEXT": plain}
    done = command("serve", *(named.get(each, each) for each in line), at=tmp_path)
    assert (done.returncode, said in done.stderr) == (2, True), done.stderr


@pytest.fixture
def secure(maintained, files, knowledge) -> Iterator[str]:
    """A server over HTTPS."""
    desk = DeskSettings(maintained, "here", needs_accounts=True, cheap_passwords=True)
    with running(knowledge, Settings(desk=desk, tls=files)) as found:
        yield found.replace("http:", "https:")


def test_a_desk_over_https(secure, authority):
    """Cookies for TLS alone, and the whole way in; in the clear there is nothing."""
    trusting = ssl.create_default_context()
    authority.configure_trust(trusting)
    with httpx.Client(base_url=secure, verify=trusting, trust_env=False, timeout=30) as client:
        client.headers["Accept"] = "text/html"
        page = client.get("/login")
        assert page.headers["set-cookie"].startswith("__Host-saltriage-form=")
        token = page.text.partition('name="form-token" value="')[2].partition('"')[0]
        fields = {"form-token": token, "name": "mo", "password": MO}
        refused = client.post("/login", data=fields, headers={"Origin": secure.replace("https:", "http:")})
        assert refused.status_code == 403
        answer = client.post("/login", data=fields, headers={"Origin": secure})
        assert answer.status_code == 303
        lines = [line for line in answer.headers.get_list("set-cookie") if "session" in line]
        assert lines[0].startswith("__Host-saltriage-session=")
        for part in ("; Secure", "; HttpOnly", "; Path=/", "; SameSite=strict"):
            assert part in lines[0]
        assert "Domain" not in lines[0]
        assert client.get("/account").status_code == 200
    with pytest.raises(httpx.TransportError):
        httpx.get(secure.replace("https:", "http:") + "/login", trust_env=False)


@pytest.mark.parametrize("version", [ssl.TLSVersion.TLSv1, ssl.TLSVersion.TLSv1_1])
def test_old_tls_is_refused(secure, version):
    """RFC 8996: neither 1.0 nor 1.1."""
    old = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    old.check_hostname, old.verify_mode = False, ssl.CERT_NONE
    old.set_ciphers("ALL:@SECLEVEL=0")
    with pytest.warns(DeprecationWarning, match="TLSv1"):
        old.minimum_version = old.maximum_version = version
    with pytest.raises(httpx.TransportError):
        httpx.get(f"{secure}/login", verify=old, trust_env=False)


# The command


@pytest.fixture
def run(tmp_path, address):
    """Runs `saltriage desk users`; mo works there."""

    def run(*words, given=""):
        environment = {"SALTRIAGE_DESK": address, "SALTRIAGE_AGENT": "mo", "NO_COLOR": "1"}
        return command("desk", "users", *words, at=tmp_path, given=given, environment=environment)

    return run


def test_accounts_by_command(run, desk):
    """Made, listed, changed, unlocked and removed; what was typed is never shown."""
    assert "No accounts" in run("list").stdout
    assert "--role maintainer" in run("add", "kim", given=WORDS + "\n").stderr
    assert run("add", "Mo", "--role", "maintainer", given=MO + "\r\n").stdout == "Made mo, maintainer.\n"
    assert run("add", "kim", given=WORDS).returncode == 0
    listed = run("list").stdout.splitlines()
    assert [line.split()[:2] for line in listed] == [["kim", "agent"], ["mo", "maintainer"]]
    assert run("role", "kim", "lead").returncode == 0
    assert '"role": "lead"' in run("list", "--json").stdout
    assert "argon2" not in run("list", "--json").stdout
    assert run("password", "kim", given=MO + " too").returncode == 0
    users = Users(desk.connected)
    from saltriage.desk.accounts.logging_in import Accounts

    assert Accounts(desk.connected).log_in("kim", MO + " too", "192.0.2.1").token
    assert run("unlock", "kim").returncode == 0
    assert run("remove", "KIM").returncode == 0
    assert [each.name for each in users.all()] == ["mo"]


@pytest.mark.parametrize(
    ("words", "given", "said"),
    [
        (("add", "kim"), "", "no passphrase came"),
        (("add", "kim"), "\n", "no passphrase came"),
        (("add", "kim"), "short", "15 are the least"),
        (("add", "k m"), WORDS, "a name has 2 to 60"),
        (("add", "mo"), WORDS, "there is mo already"),
        (("add", "kim", "--role", "king"), WORDS, "king"),
        (("add", "kim", WORDS), WORDS, "unexpected extra argument"),
        (("role", "nobody", "lead"), "", "no account nobody"),
        (("role", "mo", "agent"), "", "last maintainer"),
        (("password", "nobody"), WORDS, "no account nobody"),
        (("remove", "nobody"), "", "no account nobody"),
        (("unlock", "nobody"), "", "no account nobody"),
    ],
)
def test_what_the_command_refuses(run, maintained, words, given, said):
    done = run(*words, given=given)
    assert done.returncode == 2
    assert said in done.stderr
    assert WORDS not in done.stderr or WORDS in words


@pytest.mark.parametrize("second", [WORDS, WORDS + "x"])
def test_a_passphrase_typed_at_a_terminal(second, tmp_path):
    """Twice, and not shown."""
    import os
    import sys

    import pexpect

    at = str(tmp_path / "desk.db")
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    line = ["-m", "saltriage", "desk", "users", "add", "kim", "--role", "maintainer", "--at", at]
    child = pexpect.spawn(sys.executable, line, env=environment, encoding="utf-8", timeout=60)
    child.expect("15 signs or more.*: ")
    child.sendline(WORDS)
    child.expect("same again: ")
    child.sendline(second)
    child.expect(pexpect.EOF)
    child.close()
    assert WORDS not in str(child.before)
    assert (child.exitstatus, "Made kim" in child.before) == ((0, True) if second == WORDS else (2, False))
