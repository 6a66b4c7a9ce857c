"""The visit command: the job of the next visit, from the records of a house."""

# ruff: noqa: PLC0415 - a command imports what it needs when it runs; help is there at once
# ruff: noqa: D301 - \b is click's own mark for lines that stay as they are

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from crewtui.cli.common import PATH, Refusal, known_keys, line, refusing, say, today


@click.command(short_help="Write the job of the next visit from a house's records.")
@click.argument("records", type=PATH, nargs=-1, required=True)
@click.argument("job", type=PATH)
@click.option("--date", "on", type=click.DateTime(["%Y-%m-%d"]), help="The day of the visit.")
@click.option("--keys", type=PATH, help="The office's list of known keys: a file, or a folder of them.")
def visit(records: tuple[Path, ...], job: Path, on: datetime | None, keys: Path | None) -> int:
    """Write the JOB of the next visit from the signed RECORDS of one house: install, revisions, visits.

    What was built is carried over: depths, pieces, torque as it was left, heights and line of the readings,
    the schedule. Nothing is dug or driven on a visit, so it has no pits, no drives and no ticket.

    \b
    Example:
      crewtui visit job-17.record.toml job-17-spring.toml
      crewtui visit --date 2027-04-15 H-17/*.record.toml H-17/spring.toml
    """
    from crewtui.disk.own_files import write_whole
    from crewtui.record.house.house import HouseError, load_house
    from crewtui.record.house.next_visit import next_visit

    if job.suffix != ".toml" or job.name.endswith(".record.toml"):
        raise Refusal(f"{job}: name the job file last, such as house-spring.toml")
    if job.exists():
        raise Refusal(f"{job} is there already; name another file")
    with refusing(HouseError):
        house = load_house(records, known_keys(keys))
        found = next_visit(house, job, on=on.date() if on else None, today=today())
    try:
        write_whole(job, found.text.encode("utf-8"))
    except OSError as error:
        raise Refusal(f"{job} cannot be written ({error.strerror or error})") from error
    for words in (*house.said, *found.said):
        say(words, hang=2)
    line(f"Written: {job}. Look it over, then: crewtui open {job}")
    return 0
