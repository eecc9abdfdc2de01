"""The command serve: the walk on phones, from a server in the workshop."""

from __future__ import annotations

import secrets
import socket
from collections.abc import Mapping
from functools import partial
from pathlib import Path

from diagnose.casebook.store import Casebook
from diagnose.circuit.rig import Rig, bundled_rigs, open_rig, rig_called
from diagnose.errors import DiagnoseError, every
from diagnose.terminal import options
from diagnose.terminal.plain import complain
from diagnose.terminal.walk.command import learn_from

LOOPBACK = ("127.0.0.1", "localhost", "[::1]")


class PortTaken(DiagnoseError):
    """Another program listens there."""


def serve(
    rigs: list[str] | None, port: int, share: bool, casebook: Path | None, no_learning: bool
) -> None:
    """Serve until broken off. Raises DiagnoseError: a rig, the casebook or the port refuses."""
    import uvicorn

    from diagnose.web.guard import Guard, hosts_at
    from diagnose.web.pages import Pages
    from diagnose.web.walks import Walks

    offered = rigs_offered(rigs or [])
    learn = None if no_learning else learn_from(casebook)
    walks = Walks(
        Casebook.open(casebook),
        offered,
        lambda rig, own: options.bench_for(rig, options.shop(), learn, own),
    )
    token = secrets.token_urlsafe(16) if share else ""
    listening = _listening("0.0.0.0" if share else "127.0.0.1", port)
    port = listening.getsockname()[1]
    names = (*LOOPBACK, *_own_addresses()) if share else LOOPBACK
    guarded = Guard(Pages.of(walks).app(), hosts_at(names, port), token)
    for name in names[len(LOOPBACK) :] if share else names[:1]:
        print(f"http://{name}:{port}/{token}", flush=True)
    if share:
        complain("Whoever has this address can read and answer; Ctrl-C ends it.")
    made = uvicorn.Config(guarded, log_level="warning", access_log=False, server_header=False)
    uvicorn.Server(made).run(sockets=[listening])


def rigs_offered(names: list[str]) -> Mapping[str, Rig]:
    """Those named, by their own names; else those that come with the program. Raises Mistakes."""
    if not names:
        return {name: open_rig(name) for name in bundled_rigs()}
    found = every([partial(rig_called, name) for name in names])
    return {rig.name: rig for rig in found}


def _listening(host: str, port: int) -> socket.socket:
    """A socket that listens. Raises PortTaken."""
    found = socket.socket()
    found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        found.bind((host, port))
        found.listen(64)  # so that nobody is turned away before the pages are ready
    except (OSError, OverflowError) as error:
        found.close()
        why = getattr(error, "strerror", None) or "ports are 0 to 65535"
        raise PortTaken(f"Port {port} cannot be used ({why}); name another with --port.") from None
    return found


def _own_addresses() -> tuple[str, ...]:
    """This machine's address on the shop's network; nothing is sent to find it."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address for documentation (RFC 5737)
        except OSError:
            return (socket.gethostname(),)
        return (probe.getsockname()[0],)
