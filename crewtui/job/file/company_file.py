"""The company's file: what its jobs have in common, beside the job or in the user's own folder."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from msgspec import Struct
from msgspec.structs import replace

from crewtui.disk.own_files import home_folder
from crewtui.job.file.key_lines import key_lines
from crewtui.job.file.problems import JobFileError, Problem, listed, nearest, shown
from crewtui.job.file.raw_table import job_bytes, read_table, text_problems

NAME: Final = "company.toml"
TABLES: Final = ("anchors", "ground", "rod", "stock", "tools", "rules")
"""What a job takes key by key: its own goes before the company's."""
LISTS: Final = {"contacts": "role", "hazards": "id"}
"""What a job adds to, by the key that names each."""
CARD: Final = ("name", "units")
"""Keys of ``[company]``."""


class CompanyFile(Struct, frozen=True):
    """The bytes of the company's file, and where they stand."""

    path: Path
    data: bytes


class CompanyTable(Struct, frozen=True):
    """The company's file as text and table."""

    text: str
    table: Mapping[str, Any]


def company_of(job: Path) -> CompanyFile | None:
    """Return the company's file that is in force for this job: the one beside it, else the user's own.

    JobFileError where it is there and cannot be read.
    """
    for path in (job.parent / NAME, home_folder() / NAME):
        if os.path.lexists(path) and path.name != job.name:
            return CompanyFile(path, job_bytes(path))
    return None


def read_company(company: CompanyFile) -> CompanyTable:
    """Return the company's file as a table; JobFileError with what is wrong with its own keys.

    What is wrong with a value is said with the job that takes it.
    """
    text, table = read_table(company.data, file=NAME)
    problems = [*text_problems(table, NAME)]
    known = ("format", "company", *TABLES, *LISTS)
    for name, part in table.items():
        if name not in known:
            near = nearest(name, known)
            hint = f"did you mean {near}?" if near else f"it has {', '.join(known)}."
            message = f"There is no key {shown(name)} in a company's file; {hint}"
            problems.append(Problem(file=NAME, key=name, message=message, nearest=near))
        elif name in LISTS and not isinstance(part, list):
            message = f"{name} is a list of tables: [[{name}]]."
            problems.append(Problem(file=NAME, key=name, message=message))
        elif name in (*TABLES, "company") and not isinstance(part, dict):
            message = f"{name} is a table of keys: [{name}]."
            problems.append(Problem(file=NAME, key=name, message=message))
    card = table.get("company")
    problems += _card_problems(card if isinstance(card, dict) else {})
    if problems:
        lines = key_lines(text)
        raise JobFileError(replace(problem, line=lines.get(problem.key, 0)) for problem in problems)
    return CompanyTable(text, table)


def _card_problems(card: Mapping[str, Any]) -> list[Problem]:
    found = []
    for name, value in card.items():
        if name not in CARD:
            message = f"There is no key {shown(name)} in [company]; it has {listed(CARD)}."
            found.append(Problem(file=NAME, key=f"company.{name}", message=message))
        elif name == "units" and value not in {"imperial", "metric"}:
            message = f'{shown(value)} is none of its words; write "imperial" or "metric".'
            found.append(Problem(file=NAME, key="company.units", value=shown(value), message=message))
    return found
