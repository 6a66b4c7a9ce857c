"""The sample command: an invented job, to try the program on."""

# ruff: noqa: PLC0415 - a command imports what it needs when it runs; help is there at once
# ruff: noqa: D301 - \b is click's own mark for lines that stay as they are

from __future__ import annotations

from pathlib import Path

import click

from crewtui.cli.common import PATH, Refusal, line, say


@click.command(short_help="Write an invented sample job to try the program on.")
@click.argument("name", required=False)
@click.argument("job", type=PATH, required=False)
def sample(name: str | None, job: Path | None) -> None:
    """Write an invented sample job into this folder, or under the name given; alone, list the samples.

    No house, person, company or ticket in them is real.

    \b
    Example:
      crewtui sample block-wall
      crewtui open block-wall.toml
    """
    from crewtui.disk.own_files import write_whole
    from crewtui.job.file.samples import about, samples

    if name is None:
        for each in samples():
            say(f"{each}: {about(each)}", hang=4)
        line("All invented. To write one: crewtui sample block-wall")
        return
    chosen = name.removesuffix(".toml")
    if chosen not in samples():
        raise Refusal(f"no sample is called {name}; there are {', '.join(samples())}")
    to = job or Path(f"{chosen}.toml")
    if to.suffix != ".toml":
        raise Refusal(f"{to}: a job file's name ends with .toml")
    if to.exists() or to.is_symlink():
        raise Refusal(f"{to} is there already; name another file: crewtui sample {chosen} OTHER.toml")
    try:
        write_whole(to, samples()[chosen])
    except OSError as error:
        raise Refusal(f"{to} cannot be written ({error.strerror or error})") from error
    line(f"Written: {to}, an invented job. Now: crewtui open {to}")
