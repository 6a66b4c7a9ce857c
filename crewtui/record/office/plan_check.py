"""What is wrong with a plan: the job file's own findings, and what the figures of each anchor say."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any, Final

from msgspec import Struct

from crewtui.day.figures.anchor_figures import SUBJECTS, AnchorFigures
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.state.fold import start
from crewtui.day.truck.day_cut_list import NO_ROD
from crewtui.day.truck.loading import Loaded, worked_out
from crewtui.job.check.finding import Finding, Severity
from crewtui.job.check.plan_findings import NO_DROP, check_plan
from crewtui.job.check.shorter import shorter_findings
from crewtui.job.check.visit_findings import visit_findings
from crewtui.job.file.load import JobFile
from crewtui.job.file.model import Job
from crewtui.job.file.places import Place
from crewtui.job.file.problems import shown
from crewtui.job.file.rule_overrides import resolve
from crewtui.units import count_of

ORDER: Final[tuple[Severity, ...]] = ("stop", "caution", "remark")


CUT_LIST_S: Final = 3.0
"""How long the cut list may look for a better one."""


def check(job: Job, *, now: datetime, cut_list_s: float = CUT_LIST_S) -> tuple[Finding, ...]:
    """Return every finding, the worst first; what the plan's own check has said is not said again."""
    rules = resolve(job)
    if job.job.day == "visit":
        return visit_findings(job, rules)
    state = start(job, rules)
    # What a missing drop costs stands in the figures; the remark of the plan is not said beside it.
    found = [one for one in check_plan(job, rules, now=now) if one.words != NO_DROP]
    for anchor in job.anchors:
        found += _of_figures(figures_for(state, anchor.id))
    found += _of_truck(job, worked_out(state, time_limit_s=cut_list_s))
    return tuple(sorted(dict.fromkeys(found), key=lambda finding: ORDER.index(finding.severity)))


def _of_figures(figures: AnchorFigures) -> Iterator[Finding]:
    """Yield what the figures warn of; where there is no window or no rod, that stops the plan."""
    stops = set()
    if figures.window is not None and not figures.window.open:
        stops.add(figures.window.refused)
    if figures.aim is not None and not figures.aim.possible:
        stops.add(figures.aim.refused)
    if figures.rod is not None and not figures.rod.possible:
        stops.add(figures.rod.refused)
    if figures.yard is not None:
        stops.update(figures.yard.stops)
    if figures.seat is not None and not figures.seat.goes_in:
        stops.update(figures.seat.words)
    said = {words for subject in SUBJECTS for words in figures.said.get(subject, ())}
    for words in sorted(stops - said - {""}):
        yield Finding("stop", "figures", words, anchor=figures.anchor)
    for subject in SUBJECTS:
        for words in figures.said.get(subject, ()):
            severity: Severity = "stop" if words in stops else "caution"
            yield Finding(severity, subject, words, anchor=figures.anchor)


def _of_truck(job: Job, loaded: Loaded) -> Iterator[Finding]:
    """Yield what the load-out is short of; rods that no list can be cut from stop the plan."""
    if not any(rods.count for rods in job.stock.rods):
        yield Finding("caution", "stock", "No rods are counted on the truck: enter lengths and counts.")
        return
    for line in loaded.short:
        rods = line.stock in {"rods", "offcuts"}
        yield Finding("stop" if rods else "caution", "stock", f"Short on the truck: {line.said}.")
    for anchor, why in loaded.question.cannot:
        if not why.startswith(NO_ROD):
            yield Finding("stop", "stock", f"No pieces on the truck make its rod: {why}", anchor=anchor)


_KEYS: Final[Mapping[str, str]] = {
    "mark": "mark_depth", "aim": "aim_depth", "figures": "aim_depth", "depth": "least_depth",
    "rod": "free_room",
    "torque": "torque", "pit": "setback", "setback": "setback", "wedges": "setback", "lines": "along",
    "layout": "along", "ground": "drop", "property": "setback", "ticket": "setback", "stock": "along",
}  # fmt: skip
"""By subject: the key of an anchor that such a finding is mended with most often."""
_TABLES: Final[Mapping[str, str]] = {
    "plan": "job.plan", "layout": "anchors", "wall": "walls", "yard": "lines", "property": "property_line",
    "setback": "anchors", "depth": "anchors", "mark": "anchors", "figures": "anchors",
}  # fmt: skip
"""By subject: the table for a finding that is about no anchor, where it is not called like the subject."""


class Placed(Struct, frozen=True):
    """Where in which file a finding is to be mended."""

    place: Place
    value: str
    """What stands there now, as the file has it; empty where nothing or a whole table does."""

    @property
    def words(self) -> str:
        """Return it for the end of a sentence; nothing where the file has no such place."""
        if not self.place.line:
            return ""
        value = f", {self.place.key.rsplit('.', 1)[-1]} = {self.value}" if self.value else ""
        return f" ({self.place.file}, line {self.place.line}{value})"


def placed(file: JobFile, finding: Finding) -> Placed:
    """Return where a finding is to be mended: its own key, else the one that its subject goes by."""
    key = finding.key or _key_of(file.job, finding)
    value = file.value_at(key)
    return Placed(
        file.places.of(key), "" if value is None or isinstance(value, dict | list) else shown(value)
    )


def _key_of(job: Job, finding: Finding) -> str:
    at = next((place for place, one in enumerate(job.anchors) if one.id == finding.anchor), None)
    if at is None:
        return _TABLES.get(finding.subject, finding.subject)
    return f"anchors[{at}].{_KEYS.get(finding.subject, 'id')}"


def check_file(file: JobFile, *, now: datetime) -> tuple[Finding, ...]:
    """Return every finding of a job file, with what a newer form of it would shorten."""
    shorter = () if file.job.job.day == "visit" else shorter_findings(file.own)
    return (*check(file.job, now=now), *shorter)


def summed_up(findings: tuple[Finding, ...]) -> str:
    """Return how many sentences stop the plan, caution and remark, each counted once as it is printed."""
    each = [finding.severity for finding, _ in grouped(findings)]
    if not each:
        return "Nothing found."
    stops = each.count("stop")
    stop = (
        f"{count_of(stops, 'thing')} {'stops' if stops == 1 else 'stop'} the plan"
        if stops
        else "Nothing stops the plan"
    )
    return (
        f"{stop}. {count_of(each.count('caution'), 'caution')}, {count_of(each.count('remark'), 'remark')}."
    )


def grouped(findings: tuple[Finding, ...]) -> Iterator[tuple[Finding, tuple[str, ...]]]:
    """Yield each sentence once, with every anchor that it is true of."""
    anchors: dict[tuple[Severity, str, str], list[str]] = {}
    first: dict[tuple[Severity, str, str], Finding] = {}
    for finding in findings:
        key = (finding.severity, finding.subject, finding.words)
        first.setdefault(key, finding)
        anchors.setdefault(key, []).extend([finding.anchor] if finding.anchor else [])
    for key, finding in first.items():
        yield finding, tuple(anchors[key])


def exit_code(findings: tuple[Finding, ...]) -> int:
    """Return 1 where a finding stops the plan, else 0."""
    return int(any(finding.severity == "stop" for finding in findings))


def as_json(file: JobFile, findings: tuple[Finding, ...]) -> dict[str, Any]:
    """Return the findings as plain values, each with file, line, key and what stands there."""
    rows = [
        {
            "severity": each.severity, "subject": each.subject, "anchor": each.anchor, "words": each.words,
            "file": at.place.file, "line": at.place.line or None, "key": at.place.key,
            "value": at.value or None,
        }
        for each in findings
        for at in (placed(file, each),)
    ]  # fmt: skip
    return {"findings": rows, "exit_code": exit_code(findings)}
