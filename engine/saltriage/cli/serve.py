"""`saltriage serve`"""

import socket
from typing import Annotated

import typer

from saltriage.cli.app import app
from saltriage.cli.options import RulesOption, knowledge_from
from saltriage.errors import UsageRefused
from saltriage.web.serving import server


@app.command("serve")
def serve_command(
    host: Annotated[str, typer.Option(help="Address to listen on; 127.0.0.1 is this computer only.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=1, max=65535, help="Port to listen on.")] = 8765,
    rules: RulesOption = None,
) -> None:
    """Open the pages for owners and support staff, and the HTTP API. Nothing that is sent is kept. Ctrl-C ends it."""
    knowledge = knowledge_from(rules)
    try:
        family = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0][0]
        with socket.socket(family) as tried:
            tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            tried.bind((host, port))
    except OSError as reason:
        why = reason.strerror or reason
        raise UsageRefused(f"cannot listen on {host} port {port}: {why}; choose another") from None
    shown = f"[{host}]" if ":" in host else host
    home = f"http://{shown}:{port}/"
    typer.echo(f"Pages: {home}   API: {home}api/v1/openapi.json   Ctrl-C ends.", err=True)
    if host not in ("127.0.0.1", "::1", "localhost"):
        warning = "Other computers can reach this. There is no log-in and no encryption: keep it in your network."
        typer.echo(warning, err=True)
    server(knowledge, host, port).run()
