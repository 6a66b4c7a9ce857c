"""The shop's rules: a default for each limit, its source and mark, and what a job file sets in its place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Final, Literal, Protocol

import tomli
from msgspec import Struct, convert
from msgspec.structs import replace

from crewtui.trade.vocabulary import Mark
from crewtui.units import UnitSystem, show_length, show_torque

Unit = Literal["in", "deg", "lbf·ft", "ksi", "dBA", "lb", "h", ""]

_UNIT_BY_ENDING: Final[Mapping[str, Unit]] = {
    "_in": "in",
    "_deg": "deg",
    "_lbf_ft": "lbf·ft",
    "_ksi": "ksi",
    "_dba": "dBA",
    "_lb": "lb",
    "_h": "h",
}


class SetRule(Protocol):
    """A value that a company sets in place of a default, as the job file's model holds it."""

    @property
    def value(self) -> float | str: ...  # noqa: D102
    @property
    def said_by(self) -> str: ...  # noqa: D102
    @property
    def note(self) -> str: ...  # noqa: D102


class Rule(Struct, frozen=True, kw_only=True):
    """One rule as it holds for a job."""

    key: str
    value: float | str | None
    """In the unit that the key names; None where there is no default and nobody set one."""
    unit: Unit
    label: str
    mark: Mark
    source: str
    strict: str
    """The side on which a value is stricter: ``higher``, ``lower``, ``neither``, or the stricter word."""
    least: float | None = None
    greatest: float | None = None
    allowed: tuple[str, ...] = ()
    default: float | str | None = None
    said_by: str = ""
    """Who set a value in place of the default; empty where the default stands."""
    note: str = ""
    loosened: bool = False
    """A value was set that is less strict than the default: shown, and kept in the record."""

    @property
    def file_key(self) -> str:
        """Return the key that a job file uses, which names no unit."""
        ending = next((e for e in _UNIT_BY_ENDING if self.key.endswith(e)), "")
        return self.key.removesuffix(ending)


class _Row(Struct, frozen=True, kw_only=True):
    label: str
    mark: Mark
    source: str
    strict: str
    value: float | str | None = None
    least: float | None = None
    greatest: float | None = None
    allowed: tuple[str, ...] = ()


@cache
def defaults() -> Mapping[str, Rule]:
    """Return every rule with its default, by key, in the order of the data file."""
    text = files("crewtui.job.tables").joinpath("rules.toml").read_text(encoding="utf-8")
    rows = convert(tomli.loads(text), dict[str, _Row])
    return MappingProxyType({key: _rule(key, row) for key, row in rows.items()})


def _rule(key: str, row: _Row) -> Rule:
    unit: Unit = next((unit for ending, unit in _UNIT_BY_ENDING.items() if key.endswith(ending)), "")
    value = float(row.value) if isinstance(row.value, int) else row.value
    return Rule(
        key=key,
        value=value,
        unit=unit,
        label=row.label,
        mark=row.mark,
        source=row.source,
        strict=row.strict,
        least=row.least,
        greatest=row.greatest,
        allowed=row.allowed,
        default=value,
    )


class Rules(Mapping[str, Rule]):
    """The rules as they hold for one job."""

    def __init__(self, rules: Mapping[str, Rule]) -> None:
        self._rules = MappingProxyType(dict(rules))

    def __getitem__(self, key: str) -> Rule:
        return self._rules[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._rules)

    def __len__(self) -> int:
        return len(self._rules)

    def rule(self, key: str) -> Rule:
        """Return the rule; KeyError if there is none of that key."""
        return self._rules[key]

    def number(self, key: str) -> float:
        """Return the rule's number, in the unit that its key names; ValueError where nobody set it."""
        value = self.number_or_none(key)
        if value is None:
            raise ValueError(f"The rule {key} has no default and nobody has set it.")
        return value

    def number_or_none(self, key: str) -> float | None:
        """Return the rule's number, or None where there is no default and nobody set it."""
        value = self._rules[key].value
        if isinstance(value, str):
            raise ValueError(f"The rule {key} is a word, not a number.")  # noqa: TRY004 - the key is wrong, not a type
        return value

    def text(self, key: str) -> str:
        """Return the rule's word."""
        value = self._rules[key].value
        if not isinstance(value, str):
            raise ValueError(f"The rule {key} is a number, not a word.")  # noqa: TRY004 - the key is wrong, not a type
        return value

    @property
    def changed(self) -> tuple[Rule, ...]:
        """Return the rules that the job file sets, in the order of the data file."""
        return tuple(rule for rule in self._rules.values() if rule.said_by)

    @property
    def loosened(self) -> tuple[Rule, ...]:
        """Return the rules that the job file sets less strict than the default."""
        return tuple(rule for rule in self._rules.values() if rule.loosened)


def with_override(rule: Rule, override: SetRule) -> Rule:
    """Return the rule with the job's own value, and whether that is less strict than the default."""
    value = override.value
    return replace(
        rule, value=value, said_by=override.said_by, note=override.note, loosened=_is_looser(rule, value)
    )


def _is_looser(rule: Rule, value: float | str) -> bool:
    default = rule.default
    if isinstance(value, str) or isinstance(default, str):
        return default == rule.strict and value != default
    if default is None:
        return False
    return (rule.strict == "higher" and value < default) or (rule.strict == "lower" and value > default)


def refusal(rule: Rule, value: float | str) -> str:
    """Return why the rule cannot have this value, or an empty string."""
    if rule.allowed:
        return "" if value in rule.allowed else "it is one of " + ", ".join(f'"{w}"' for w in rule.allowed)
    if isinstance(value, str):
        return "it is a number"
    if rule.least is not None and rule.greatest is not None and not rule.least <= value <= rule.greatest:
        return f"it lies between {rule.least:g} and {rule.greatest:g} {rule.unit}".rstrip()
    return ""


def in_words(rule: Rule, value: float | str, system: UnitSystem) -> str:
    """Return a value of this rule as it is shown, with its unit."""
    if isinstance(value, str):
        return f'"{value}"'
    if rule.unit == "in":
        return show_length(value, system, step=64)
    if rule.unit == "lbf·ft":
        return show_torque(value, system)
    return f"{value:g} {rule.unit}".strip()
