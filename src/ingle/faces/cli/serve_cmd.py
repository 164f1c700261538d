"""``ingle serve``."""

from __future__ import annotations

import secrets
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from ingle.ground.errors import BadBrief, Refused
from ingle.ground.memory import collector_waits

PHRASE_LEAST = 10  # letters


@click.command("serve")
@click.option("--notebook", "book", metavar="PATH|URL", help="Which notebook. Left out: INGLE_NOTEBOOK, else ingle.notebook here.")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on. Another than this machine's own needs a pass phrase.")
@click.option("--port", default=8023, show_default=True, type=click.IntRange(1, 65535))
@click.option("--pass-phrase", is_flag=True, help="Ask for a new pass phrase, and keep its hash beside the notebook.")
@click.option("--phone", is_flag=True, help="Be heard in this network, and print a QR code that signs one phone in.")
@click.option("--secure", is_flag=True, help="Cookies for https alone: something in front speaks it.")
def command(**given: Any) -> int:
    """The kitchen page, on this machine.

    Nothing is asked of any other machine. On an address that others hear, a
    pass phrase is needed, and the page is best put behind https.

    \b
    Example:  ingle serve --notebook fernhollow.notebook
    """
    with collector_waits():
        uvicorn, web, rest = _loaded()
    host = "0.0.0.0" if given["phone"] and given["host"] == "127.0.0.1" else given["host"]
    config = configured(given["book"], host, given["port"], given["secure"], new_phrase=given["pass_phrase"], phone=given["phone"])
    with collector_waits():
        app = web.create_app(config, None)
    click.echo(f"notebook: {config.notebook}", err=True)
    if given["phone"]:
        phone_code(app, config)
    click.echo(f"http://{'localhost' if config.is_loopback else config.host}:{config.port}/   (stop with Ctrl-C)")
    sys.stdout.flush()
    page = rest.Rest(app, lambda: _completed(web, app))
    uvicorn.run(page, host=config.host, port=config.port, log_level="warning", server_header=False, date_header=True, timeout_graceful_shutdown=5)
    return 0


def _completed(web: Any, app: Any) -> None:
    with collector_waits():
        from ingle.faces.cli.offered import OFFERED

        web.complete(app, OFFERED)


def _loaded() -> tuple[Any, Any, Any]:
    try:
        import uvicorn

        from ingle.faces.web import app, rest
    except ModuleNotFoundError as why:
        raise Refused(
            f"The page's own libraries are not installed ({why.name}).", field="serve", value=why.name, limit="ingle[web]", remedy="In a clone: make demo (it brings them). Installed with pip: pip install 'ingle[web]'."
        ) from None
    return uvicorn, app, rest


def configured(book: str | None, host: str, port: int, secure: bool, *, new_phrase: bool = False, phone: bool = False) -> Any:
    """What the page is started with, its secret and pass phrase read or made."""
    from ingle.faces.web.config import Config, keep_folder, kept_secret
    from ingle.notebook.store import where

    notebook = where(book)
    keep = keep_folder(notebook)
    secret = kept_secret(keep)
    phrase = _phrase(keep, new_phrase)
    if phone and not phrase:  # nobody knows it: only who reads a code comes in, as long as this page runs
        from ingle.faces.web.security import hashed

        phrase = hashed(secrets.token_urlsafe(24))
    if host in ("127.0.0.1", "localhost", "::1"):
        return Config(notebook, keep, host, port, phrase if new_phrase else "", secure, secret=secret)
    return replace(Config(notebook, keep, port=port, secure=secure, secret=secret), host=host, pass_phrase=phrase)


def phone_code(app: Any, config: Any) -> None:
    """A QR code in the terminal; it signs one phone in, once, within five minutes. A link for this machine beside it."""
    import segno

    from ingle.faces.web.passes import own_address

    address = own_address()
    if not address:
        raise Refused("This machine is in no network.", field="phone", value="no address", limit="a network", remedy="Join the phone's network, then start again.")
    way = "https" if config.secure else "http"
    link = f"{way}://{address}:{config.port}/in/{app.state.passes.give()}"
    segno.make(link, error="m", micro=False).terminal(compact=True)
    click.echo(f"For one phone, within 5 min: {link}")
    click.echo(f"For this machine:            {way}://localhost:{config.port}/in/{app.state.passes.give()}")


def _phrase(keep: Path, new: bool) -> str:
    """The kept hash; a new one after the phrase was asked for twice."""
    path = keep / "pass-phrase"
    if not new:
        return path.read_text(encoding="ascii").strip() if path.is_file() else ""
    from ingle.faces.web.security import hashed

    said: str = click.prompt("Pass phrase", hide_input=True, confirmation_prompt="Once more", err=True)
    if len(said) < PHRASE_LEAST:
        raise BadBrief(
            f"The pass phrase has {len(said)} letters.", field="pass-phrase", value="(not shown)", limit=f"{PHRASE_LEAST} or more",
            remedy="Take four words that do not belong together.",
        )  # fmt: skip
    told = hashed(said)
    path.write_text(told + "\n", encoding="ascii")
    path.chmod(0o600)
    return told
