"""Reading a job file: bytes to a job, or everything that is wrong with it at once."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path
from typing import Any, Final

from msgspec import Struct
from msgspec.structs import replace
from pydantic import ValidationError

from crewtui.job.file.blanks import blank_problems, without_echo
from crewtui.job.file.company_file import CompanyFile, company_of, read_company
from crewtui.job.file.company_hazards import hazard_problems
from crewtui.job.file.error_words import field_problems, shared_problems
from crewtui.job.file.fields import UNITS_CONTEXT
from crewtui.job.file.inherit import Composed, compose
from crewtui.job.file.links import link_problems
from crewtui.job.file.model import Job
from crewtui.job.file.places import Places
from crewtui.job.file.problems import JobFileError, Problem, listed
from crewtui.job.file.raw_table import FORMAT, job_bytes, read_table, text_problems
from crewtui.job.file.rule_overrides import take_rules
from crewtui.units import UnitSystem

_PARTS: Final = re.compile(r"\[\d+\]|[^.\[\]]+")


class JobFile(Struct, frozen=True):
    """A job as it was read, and where in which file each of its values stands."""

    job: Job
    places: Places
    company: str
    """The company's file that was in force; empty where there is none."""
    own: dict[str, Any]
    """The job file's own table."""
    table: dict[str, Any]
    """The same with what it takes from its walls and from the company's file, as the models read it."""

    def value_at(self, key: str) -> Any:
        """Return what stands at a key such as ``walls[0].thickness``, as it is written; None for nothing."""
        at: Any = self.table
        for part in _PARTS.findall(key):
            try:
                at = at[int(part[1:-1]) if part.startswith("[") else part]
            except (LookupError, TypeError):
                return None
        return at


def load_job(path: Path, *, alone: bool = False) -> Job:
    """Return the job of this file and of the company's; JobFileError with everything that is wrong.

    ``alone`` leaves the company's file out, as jobs from before there was one are read.
    """
    return load_job_file(path, alone=alone).job


def load_job_file(path: Path, *, alone: bool = False) -> JobFile:
    """Return the job of this file and of the company's, with the place of each value; raises JobFileError."""
    company = None if alone else company_of(path)
    return _read(job_bytes(path), file=path.name, company=company)


def job_sha256(path: Path, *, alone: bool = False) -> str:
    """Return the SHA-256 in hex of the job file's bytes, with the company file's behind them.

    JobFileError if one of them cannot be read.
    """
    company = None if alone else company_of(path)
    behind = b"" if company is None else company.data
    return hashlib.sha256(job_bytes(path) + behind).hexdigest()


def read_job(data: bytes, *, file: str, company: bytes | None = None) -> Job:
    """Return the job of these bytes and of the company's; JobFileError with everything that is wrong."""
    theirs = None if company is None else CompanyFile(Path("company.toml"), company)
    return _read(data, file=file, company=theirs).job


def _read(data: bytes, *, file: str, company: CompanyFile | None) -> JobFile:
    text, table = read_table(data, file=file)
    theirs = read_company(company) if company is not None else None
    places = Places(file, text, "" if company is None else str(company.path), theirs.text if theirs else "")
    composed = compose(table, theirs.table if theirs else {}, file=file, company_file=places.company)
    job, problems = _job_of(table, composed, file)
    blanks = list(blank_problems(table, file))
    if problems or blanks or job is None:
        placed = _placed([*blanks, *problems], composed, places)
        raise JobFileError(without_echo(placed, _placed(blanks, composed, places)))
    return JobFile(job, places.with_moved(composed.moved), places.company, table, composed.table)


def _job_of(own: dict[str, Any], composed: Composed, file: str) -> tuple[Job | None, list[Problem]]:
    table = composed.table
    system = _system(table)
    problems = [
        *text_problems(own, file),
        *composed.problems,
        *(
            problem
            for at, shared in composed.shared.items()
            for problem in shared_problems(shared, at, file, system)
        ),
        *link_problems(table, file),
        *hazard_problems(table, file),
    ]
    rules, rule_problems = take_rules(table, file, system)
    problems += rule_problems
    try:
        job = Job.model_validate(
            {**table, "rules": rules}, context={UNITS_CONTEXT: system}, by_alias=True, by_name=False
        )
    except ValidationError as error:
        return None, problems + field_problems(error, table, file, system)
    return job, problems


def _placed(problems: list[Problem], composed: Composed, places: Places) -> list[Problem]:
    """Return each problem once, at the place where its value stands, in the order of the tables."""
    known = places.with_moved(composed.moved)
    found = []
    for problem in problems:
        place = known.of(problem.key)
        where = "" if place.shared else problem.where
        found.append(replace(problem, file=place.file, key=place.key, line=place.line, where=where))
    return list(dict.fromkeys(found))


def _system(table: dict[str, Any]) -> UnitSystem:
    card = table.get("job")
    return "metric" if isinstance(card, dict) and card.get("units") == "metric" else "imperial"


__all__ = [
    "FORMAT", "JobFile", "JobFileError", "Problem", "job_bytes", "job_sha256", "listed", "load_job",
    "load_job_file", "read_job",
]  # fmt: skip
