"""A job file's own rules: from plain names, and values as people write them, to the shop's keys and units."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from crewtui.job.file.fields import angle_deg, finite, length_in, torque_lbf_ft
from crewtui.job.file.model import Job
from crewtui.job.file.problems import Problem, listed, nearest, path_of, shown
from crewtui.job.tables.rules import Rule, Rules, defaults, in_words, refusal, with_override
from crewtui.units import UnitSystem

_KEYS: Final = ("value", "said_by", "note")


def take_rules(
    table: Mapping[str, Any], file: str, system: UnitSystem
) -> tuple[dict[str, dict[str, Any]], list[Problem]]:
    """Return the rules by the shop's keys, values in the shop's units, and what is wrong with others."""
    given = table.get("rules", {})
    if not isinstance(given, dict):
        message = "rules must be a table, such as [rules.setback] with value and said_by below it."
        return {}, [Problem(file=file, key="rules", value=shown(given), message=message)]
    by_name = {rule.file_key: rule for rule in defaults().values()}
    taken: dict[str, dict[str, Any]] = {}
    problems: list[Problem] = []
    for name, row in given.items():
        rule = by_name.get(name)
        if rule is None:
            problems.append(_unknown(name, file, list(by_name)))
            continue
        value, faults = _one(rule, row, file, system)
        problems += faults
        if not faults:
            taken[rule.key] = {**row, "value": value}
    problems += _crossed(taken, file)
    return taken, problems


def _unknown(name: str, file: str, names: list[str]) -> Problem:
    near = nearest(name, names)
    with_unit = defaults().get(name)
    if with_unit is not None:
        near = with_unit.file_key
        hint = f"write {near}, without a unit; the value carries it"
    elif near:
        hint = f"did you mean {near}?"
    else:
        hint = "docs/job-file.md lists the rules that can be set"
    return Problem(
        file=file,
        key=path_of(("rules", name)),
        message=f"There is no rule {shown(name)}; {hint}{'' if hint.endswith('?') else '.'}",
        nearest=near,
    )


def _one(rule: Rule, row: Any, file: str, system: UnitSystem) -> tuple[float | str, list[Problem]]:
    key = f"rules.{rule.file_key}"
    if not isinstance(row, dict):
        message = (
            f'Write who set it as well: {rule.file_key} = {{ value = {shown(row)}, said_by = "Office" }}.'
        )
        return 0.0, [Problem(file=file, key=key, value=shown(row), message=message)]
    problems = [
        Problem(
            file=file,
            key=path_of(("rules", rule.file_key, name)),
            value=shown(row[name]),
            message=f"There is no key {shown(name)} in a rule; it has {listed(_KEYS)}.",
            nearest=nearest(name, _KEYS),
        )
        for name in row
        if name not in _KEYS
    ]
    said_by = row.get("said_by")
    if not isinstance(said_by, str) or not said_by.strip():
        message = 'said_by is missing: who set this limit, such as said_by = "Office".'
        problems.append(Problem(file=file, key=f"{key}.said_by", message=message))
    if not isinstance(row.get("note", ""), str):
        message = "note is text in quotes."
        problems.append(Problem(file=file, key=f"{key}.note", value=shown(row["note"]), message=message))
    if "value" not in row:
        message = f"value is missing: {rule.label.lower()}."
        return 0.0, [*problems, Problem(file=file, key=f"{key}.value", message=message)]
    value, fault = _read(rule, row["value"], system)
    if fault:
        problems.append(
            Problem(file=file, key=f"{key}.value", value=shown(row["value"]), message=fault, nearest=None)
        )
    return value, problems


def _read(rule: Rule, raw: Any, system: UnitSystem) -> tuple[float | str, str]:
    """Return the value in the rule's own unit, and why it cannot be, in a sentence."""
    if rule.allowed:
        if isinstance(raw, str) and raw in rule.allowed:
            return raw, ""
        return "", f"{shown(raw)} is none of its words; write {listed(rule.allowed)}."
    readers = {"in": lambda: length_in(raw, system), "lbf·ft": lambda: torque_lbf_ft(raw, system)}
    try:
        value = readers.get(rule.unit, lambda: angle_deg(raw) if rule.unit == "deg" else finite(raw))()
    except ValueError as error:
        return 0.0, str(error).rstrip(".") + "."
    if isinstance(value, bool) or not isinstance(value, int | float):
        return 0.0, f"{shown(raw)} is no number; the rule is: {rule.label.lower()}."
    number = float(value)
    if refusal(rule, number):
        least, greatest = (in_words(rule, bound or 0.0, system) for bound in (rule.least, rule.greatest))
        return 0.0, (
            f"{shown(raw)} is read as {in_words(rule, number, system)}, and this rule lies between {least}"
            f" and {greatest}; write its unit beside it if another one was meant."
        )
    return number, ""


def _crossed(taken: Mapping[str, Mapping[str, Any]], file: str) -> list[Problem]:
    """Say which limits cross, where the file sets at least one of the two."""
    pairs = (
        ("mark_band_top_in", "mark_band_bottom_in"),
        ("spacing_least_in", "spacing_greatest_in"),
        ("threads_past_nut_least", "threads_past_nut"),
    )
    problems = []
    for low, high in pairs:
        if low in taken or high in taken:
            bounds = [taken.get(key, {}).get("value", defaults()[key].value) for key in (low, high)]
            if bounds[0] > bounds[1]:
                names = [defaults()[key].file_key for key in (low, high)]
                message = f"{names[0]} lies past {names[1]}: set both so that they do not cross."
                problems.append(Problem(file=file, key=f"rules.{names[0]}", message=message))
    return problems


def resolve(job: Job) -> Rules:
    """Return the rules as they hold for this job; ValueError for a key or a value that no rule can take."""
    rules = dict(defaults())
    for key, override in job.rules.items():
        if key not in rules:
            raise ValueError(f"There is no rule {key}.")
        fault = refusal(rules[key], override.value)
        if fault:
            raise ValueError(f"The rule {key} cannot be {override.value!r}: {fault}.")
        rules[key] = with_override(rules[key], override)
    return Rules(rules)
