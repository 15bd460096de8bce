"""`saltriage serve`"""

from dataclasses import replace
from ipaddress import ip_address
from typing import Annotated

import typer

from saltriage.cli.app import app
from saltriage.cli.options import RulesOption, tree_from
from saltriage.cli.second_reader import ReaderAddress, second_line
from saltriage.errors import UsageRefused
from saltriage.knowledge import load_knowledge
from saltriage.web.serving import server
from saltriage.web.settings import LOOPBACK, DeskSettings, Settings
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
    workers: Annotated[
        int, typer.Option(min=1, max=MOST_WORKERS, help="Processes that serve; one for each core is enough.")
    ] = 1,
    reader: ReaderAddress = "",
    rules: RulesOption = None,
) -> None:
    """Open the pages for owners and support staff, and the HTTP API. Keeps calls only with --desk. Ctrl-C ends it."""
    kept = _desk(place, host, agent, wanted=desk)
    tree = tree_from(rules)
    settings = replace(_settings(host, host_name or []), cases=tree.cases, desk=kept, reader=reader)
    knowledge = load_knowledge(tree.rules)
    second = second_line(reader, knowledge)
    try:
        sockets = listening(host, port, workers)
    except OSError as reason:
        why = reason.strerror or reason
        raise UsageRefused(f"cannot listen on {host} port {port}: {why}; choose another") from None
    shown = f"[{host}]" if ":" in host else host
    home = f"http://{shown}:{port}/"
    several = f"   {workers} processes" if workers > 1 else ""
    typer.echo(f"Pages: {home}   API: {home}api/v1/openapi.json{several}   Ctrl-C ends.{second}", err=True)
    if host not in LOOPBACK:
        warning = "Other computers can reach this. There is no log-in and no encryption: keep it in your network."
        typer.echo(warning, err=True)
    if workers == 1:
        server(knowledge, settings=settings).run(sockets=sockets)
    else:
        serve_with_workers(knowledge, str(tree.rules), sockets, workers, settings)


def _desk(place: str, host: str, agent: str, *, wanted: bool) -> DeskSettings | None:
    """The desk that is asked for, once it was opened; None without --desk. Raises: UsageRefused."""
    if not wanted:
        if place or agent:
            raise UsageRefused(f"{place or '--as'}: belongs to a desk; write: saltriage serve --desk")
        return None
    if host not in LOOPBACK:
        raise UsageRefused(f"--host {host}: calls hold names and numbers; a desk is served to this computer alone")
    from saltriage.cli.desk import agent as named
    from saltriage.cli.desk_place import desk_at

    desk_at(place)  # refused here rather than in each process
    return DeskSettings(place, named(agent))


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
