"""Values that nobody has filled in yet: they stand as "?", and no job opens with one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from crewtui.job.file.file_keys import by_path
from crewtui.job.file.problems import Problem, named, path_of
from crewtui.job.file.raw_table import walk

BLANK: Final = "?"
"""What a value reads that is still to be filled in: nothing is made up in its place."""


def blank_problems(table: Mapping[str, Any], file: str) -> Iterator[Problem]:
    """Say each value that still has to be filled in, with what it means."""
    for parts, value in walk(table):
        if isinstance(value, str) and value.strip() == BLANK:
            names = [part for part in parts if isinstance(part, str) and part != "each"]
            key = by_path().get(".".join(names)) or by_path().get(".".join(names[-2:]))
            help_ = f" {key.meaning} Such as: {key.name} = {key.example}." if key else ""
            yield Problem(
                file=file,
                key=path_of(parts),
                value=f'"{BLANK}"',
                message=f"{names[-1] if names else 'A value'} is not filled in yet.{help_}",
                where=named(table, parts),
            )


def without_echo(problems: Iterable[Problem], blanks: Iterable[Problem]) -> list[Problem]:
    """Leave out what else is wrong with a value that was never filled in."""
    said = {(blank.file, blank.key): blank for blank in blanks}
    return [
        problem
        for problem in problems
        if said.get((problem.file, problem.key), problem).message == problem.message
    ]
