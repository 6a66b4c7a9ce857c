"""The key commands: make, show, export, change the passphrase, retire; and the list of known keys."""

# ruff: noqa: PLC0415 - a command imports what it needs when it runs; help is there at once
# ruff: noqa: D301 - \b is click's own mark for lines that stay as they are

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from crewtui.cli.common import PATH, Commands, Refusal, help_if_alone, known_keys, line, refusing, say, today


@click.group(
    cls=Commands, invoke_without_command=True, short_help="Your signing key, and the list of known keys."
)
@click.pass_context
def key(context: click.Context) -> int:
    """Make, show and change the key that records are signed with, and list the keys that are known.

    \b
    Example:
      crewtui key make --name "Lee Sample"
    """
    return help_if_alone(context)


@key.command(name="make", short_help="Make your signing key.")
@click.option("--name", required=True, help="Who signs with it, as the record is to say.")
@click.option("--replace", is_flag=True, help="Set an older key aside and make a new one in its place.")
def key_make(name: str, *, replace: bool) -> None:
    """Make your signing key; it is kept encrypted under a passphrase, in your own folder.

    \b
    Example:
      crewtui key make --name "Lee Sample"
    """
    from crewtui.record.signed import signing_keys

    with refusing(signing_keys.KeyFileError):
        if signing_keys.own_key_path().exists() and not replace:
            raise signing_keys.KeyFileError(
                "there is a key already; --replace sets it aside and makes a new one"
            )
        made = signing_keys.make_key(name, _new_passphrase(), today=today(), replace=replace)
    line(f"Made for {made.name}. Key id {made.key_id}")
    line(f"Kept in {signing_keys.own_key_path()}")
    say(
        "Nobody can recover the passphrase; keep it away from this machine."
        " Give the office your public half: crewtui key export FILE"
    )


@key.command(name="show", short_help="Show your key's id and where it is kept.")
def key_show() -> None:
    """Show your key's id and where it is kept; never the key itself.

    \b
    Example:
      crewtui key show
    """
    from crewtui.record.signed import signing_keys

    with refusing(signing_keys.KeyFileError):
        own = signing_keys.show_key()
    line(f"Name    {own.name}")
    line(f"Key id  {own.key_id}")
    line(f"Made    {own.made_on}")
    line(f"Kept in {signing_keys.own_key_path()}")
    warning = signing_keys.rights_warning()
    if warning:
        line(f"crewtui: {warning}", err=True)


@key.command(name="export", short_help="Write your key's public half to a file.")
@click.argument("file", type=PATH)
def key_export(file: Path) -> None:
    """Write your key's public half to FILE, for the office's list.

    \b
    Example:
      crewtui key export lee.public.toml
    """
    from crewtui.record.signed import known_keys, signing_keys

    with refusing(signing_keys.KeyFileError):
        if file.exists():
            raise signing_keys.KeyFileError(f"{file} is there already; name another file")
        own = signing_keys.show_key()
        known_keys.export_public(own, file)
    line(f"Written to {file}")
    line(f"Key id {own.key_id}: read it to the office by phone.")


@key.command(name="passphrase", short_help="Change the passphrase of your key.")
def key_passphrase() -> None:
    """Change the passphrase of your key; the key and its id stay.

    \b
    Example:
      crewtui key passphrase
    """
    from crewtui.record.signed import signing_keys

    with refusing(signing_keys.KeyFileError):
        signing_keys.show_key()
        old = click.prompt("Passphrase now", hide_input=True, default="", show_default=False)
        signing_keys.open_key(old)
        signing_keys.change_passphrase(old, _new_passphrase())
    line("Changed.")


@key.command(name="retire", short_help="Retire your key, or one on the list of known keys.")
@click.argument("key_id", default="")
@click.option(
    "--on", "on_day", metavar="YYYY-MM-DD", help="The last day on which it counts; today if absent."
)
@click.option("--keys", type=PATH, help="The list to mark it in; your own if absent.")
def key_retire(key_id: str, on_day: str | None, keys: Path | None) -> None:
    """Retire a key: your own, or with a KEY_ID one on the list of known keys.

    What a retired key signed up to that day still verifies.

    \b
    Example:
      crewtui key retire
      crewtui key retire 21fe-31df --on 2031-04-05 --keys office/known_keys.toml
    """
    from crewtui.record.signed.known_keys import retire_known
    from crewtui.record.signed.signing_keys import KeyFileError, retire_key

    day = _day(on_day)
    with refusing(KeyFileError):
        if key_id:
            listed = retire_known(key_id, day, keys)
            line(f"Retired on {day}: {listed.key_id}, {listed.name}")
            return
        own, aside = retire_key(day)
    line(f"Set aside: key {own.key_id}")
    line(f"It now lies in {aside}")
    say(f"Tell the office, so that it marks it too: crewtui key retire {own.key_id} --on {day}")


@key.command(name="add", short_help="Put an exported public key on the list of known keys.")
@click.argument("file", type=PATH)
@click.option("--keys", type=PATH, help="The list to add it to; your own if absent.")
def key_add(file: Path, keys: Path | None) -> None:
    """Put an exported public key on the list of known keys.

    \b
    Example:
      crewtui key add lee.public.toml --keys office/known_keys.toml
    """
    from crewtui.record.signed.known_keys import add_known, read_public
    from crewtui.record.signed.signing_keys import KeyFileError

    with refusing(KeyFileError):
        added = add_known(read_public(file), keys)
    line(f"Known: {added.key_id}, {added.name}")
    say("Compare that key id with the lead by phone: a file alone proves nothing.")


@key.command(name="list", short_help="Show the known keys, and which are retired.")
@click.option("--keys", type=PATH, help="The list to show; your own if absent.")
def key_list(keys: Path | None) -> None:
    """Show the known keys, whose they are, and which are retired.

    \b
    Example:
      crewtui key list
    """
    listed = known_keys(keys).keys
    for each in listed:
        own = "  this machine's own" if each.own else ""
        note = f"  retired on {each.retired_on}" if each.retired_on else own
        line(f"{each.key_id}  {each.name}{note}")
    if not listed:
        line("No keys are known here yet.")


def _new_passphrase() -> str:
    text = "New passphrase (a few words; it is not shown)"
    return str(click.prompt(text, hide_input=True, confirmation_prompt="Once more"))


def _day(text: str | None) -> date:
    if text is None:
        return today()
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise Refusal(f"--on {text}: a day is written as 2031-04-05") from error
