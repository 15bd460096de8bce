"""`saltriage serve`"""

import ssl
from dataclasses import replace
from ipaddress import ip_address
from shlex import quote
from typing import Annotated

import typer

from saltriage.cli.app import app
from saltriage.cli.options import RulesOption, tree_from
from saltriage.cli.second_reader import ReaderAddress, second_line
from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.web.serving import server
from saltriage.web.settings import LOOPBACK, DeskSettings, Settings, TlsFiles
from saltriage.web.workers import MOST_WORKERS, listening, serve_with_workers


@app.command("serve")
def serve_command(
    *,
    place: Annotated[
        str,
        typer.Argument(
            metavar="PLACE", show_default=False, help="With --desk: a file or postgresql://...; else your own desk."
        ),
    ] = "",
    desk: Annotated[
        bool, typer.Option("--desk", help="Keep the calls of the support page: see `saltriage desk`.")
    ] = False,
    agent: Annotated[
        str,
        typer.Option("--as", metavar="NAME", help="Who works at the desk; else SALTRIAGE_AGENT, else your name here."),
    ] = "",
    host: Annotated[str, typer.Option(help="Address to listen on; 127.0.0.1 is this computer only.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=1, max=65535, help="Port to listen on.")] = 8765,
    host_name: Annotated[
        list[str] | None,
        typer.Option("--host-name", metavar="NAME", help="Name that others call this computer by; may be repeated."),
    ] = None,
    tls_cert: Annotated[
        str, typer.Option("--tls-cert", metavar="FILE", help="Certificate with its chain, PEM: serve over HTTPS.")
    ] = "",
    tls_key: Annotated[str, typer.Option("--tls-key", metavar="FILE", help="Its key, PEM, without a passphrase.")] = "",
    behind_proxy: Annotated[
        bool, typer.Option("--behind-proxy", help="Your proxy does HTTPS, and nobody else can reach this port.")
    ] = False,
    workers: Annotated[
        int, typer.Option(min=1, max=MOST_WORKERS, help="Processes that serve; one for each core is enough.")
    ] = 1,
    reader: ReaderAddress = "",
    rules: RulesOption = None,
) -> None:
    """Open the pages for owners and support staff, and the HTTP API. Keeps calls only with --desk. Ctrl-C ends it."""
    settings = replace(
        _settings(host, host_name or []), tls=_tls(tls_cert, tls_key, behind_proxy), behind_proxy=behind_proxy
    )
    is_ours_alone = host in LOOPBACK and not host_name and not behind_proxy
    kept = _desk(place, agent, settings, wanted=desk, is_ours_alone=is_ours_alone)
    tree = tree_from(rules)
    settings = replace(settings, cases=tree.cases, desk=kept, reader=reader)
    knowledge = load_knowledge(tree.rules)
    second = second_line(reader, knowledge)
    try:
        sockets = listening(host, port, workers)
    except OSError as reason:
        why = reason.strerror or reason
        raise UsageRefused(f"cannot listen on {host} port {port}: {why}; choose another") from None
    shown = f"[{host}]" if ":" in host else host
    home = f"http{'s' if settings.tls else ''}://{shown}:{port}/"
    several = f"   {workers} processes" if workers > 1 else ""
    typer.echo(f"Pages: {home}   API: {home}api/v1/openapi.json{several}   Ctrl-C ends.{second}", err=True)
    if host not in LOOPBACK and settings.desk is None:
        lock = "" if settings.tls or behind_proxy else " and no encryption"
        warning = f"Other computers can reach this. There is no log-in{lock}: keep it in your network."
        typer.echo(warning, err=True)
    if workers == 1:
        server(knowledge, settings=settings).run(sockets=sockets)
    else:
        serve_with_workers(knowledge, str(tree.rules), sockets, workers, settings)


def _tls(cert: str, key: str, behind_proxy: bool) -> TlsFiles | None:
    """The files for HTTPS, once they were read. Raises: UsageRefused: they do not fit."""
    if not cert and not key:
        return None
    if not cert or not key or behind_proxy:
        raise UsageRefused(
            "--tls-cert and --tls-key go together, and not with --behind-proxy, where the proxy has them"
        )
    for file in (cert, key):
        with open(file, "rb"):  # which one cannot be read, the library does not say
            pass
    try:
        ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(cert, key, lambda: "")
    except (ssl.SSLError, ValueError) as trouble:
        why = getattr(trouble, "reason", "") or trouble
        raise UsageRefused(
            f"{cert}, {key}: no certificate with its key ({why}); both are PEM, the key without a passphrase"
        ) from None
    return TlsFiles(cert, key)


def _desk(place: str, agent: str, settings: Settings, *, wanted: bool, is_ours_alone: bool) -> DeskSettings | None:
    """The desk that is asked for, once it was opened; None without --desk.

    Args: is_ours_alone: nobody on another computer can reach it.
    Raises: UsageRefused: there is none, or it is not safe to serve it so.
    """
    if not wanted:
        if place or agent:
            raise UsageRefused(f"{place or '--as'}: belongs to a desk; write: saltriage serve --desk")
        return None
    if not is_ours_alone and settings.tls is None and not settings.behind_proxy:
        raise UsageRefused(
            "a desk is not sent over a network in the clear, as its calls hold names and numbers: add --tls-cert FILE "
            "--tls-key FILE, or --behind-proxy where a proxy of yours does HTTPS; or leave out --host and --host-name, "
            "for this computer alone"
        )
    from saltriage.cli.desk import agent as named
    from saltriage.cli.desk_place import desk_at

    opened = desk_at(place)  # refused here rather than in each process
    from saltriage.desk.accounts.logging_in import Accounts
    from saltriage.desk.accounts.steady_clock import SteadyClock

    if not is_ours_alone and not Accounts(opened.connected).any():
        at = f" --at {quote(place)}" if place else ""
        raise UsageRefused(
            "other computers can reach this, and the desk has no accounts; make the first: "
            f"saltriage desk users add NAME --role maintainer{at}"
        )
    return DeskSettings(place, named(agent), needs_accounts=not is_ours_alone, clock=SteadyClock())


def _settings(host: str, names: list[str]) -> Settings:
    """Who may be asked for: this computer's own names, the address listened on, and the names given."""
    for each in names:
        if not each or len(each) > 253 or not all(sign.isalnum() or sign in "-." for sign in each):
            raise UsageRefused(f"{each!r} is no name of a computer; write it like pool.example, without port or path")
    own = LOOPBACK | {each.rstrip(".").lower() for each in names}
    if host in LOOPBACK:
        return Settings(host_names=own)
    try:
        ip_address(host)
    except ValueError:
        own |= {host.lower()}
    return replace(Settings(host_names=own), any_address=True)
