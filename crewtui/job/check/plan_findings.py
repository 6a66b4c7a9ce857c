"""What is wrong with a plan as a whole, before anybody drives out: layout, ticket, what is missing.

The figures of a single anchor (aim, window, rod, torque, wedges, lines) carry their own warnings; these are
the ones that need no figure, or several anchors at once.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from crewtui.job.check.finding import Finding, Severity
from crewtui.job.check.later_findings import later_findings
from crewtui.job.check.layout_findings import layout_findings
from crewtui.job.check.likely_findings import likely_findings
from crewtui.job.check.ticket_findings import ticket_findings
from crewtui.job.check.yard_findings import yard_findings
from crewtui.job.file.emergency import without_number
from crewtui.job.file.model import Anchor, Job
from crewtui.job.file.planned import planned_number
from crewtui.job.tables.rules import Rules, in_words
from crewtui.units import at_least, at_most, show_length

_ORDER: Final[tuple[Severity, ...]] = ("stop", "caution", "remark")

NO_DROP: Final = "The drop of the ground at the pit is not given: it is taken on site and never assumed."


def check_plan(job: Job, rules: Rules, *, now: datetime | None = None) -> tuple[Finding, ...]:
    """Return what is wrong with the plan, the worst first; ``now`` judges the ticket by this moment too."""
    found = [
        *_job_findings(job),
        *_rule_findings(job, rules),
        *layout_findings(job, rules),
        *(finding for anchor in job.anchors for finding in _anchor_findings(job, rules, anchor)),
        *ticket_findings(job, rules, now=now),
        *later_findings(job, rules),
        *yard_findings(job),
        *likely_findings(job),
    ]
    return tuple(sorted(found, key=lambda finding: _ORDER.index(finding.severity)))


def _job_findings(job: Job) -> Iterator[Finding]:
    card = job.job
    if not card.plan:
        yield Finding("caution", "plan", "No engineer's plan is named: the plan governs, so name it.")
    if not card.address:
        words = "No address is given: the emergency page has nothing to read out."
        yield Finding("caution", "contacts", words)
    if not job.contacts:
        words = "No contacts are given: the emergency page has nobody to call but the local emergency number."
        yield Finding("caution", "contacts", words)
    for name in without_number(job) if job.contacts else ():
        words = f"{name} marked a line and has no number: add a contact whose role names it."
        yield Finding("caution", "contacts", words)
    if not card.competent_person:
        yield Finding(
            "remark", "plan", "No competent person is named: the lead names one before the first hole."
        )
    if job.ground.frost_depth_in is None:
        words = "No frost depth is given: ask the local building office, or the least depth leaves frost out."
        yield Finding("caution", "ground", words)
    if job.ground.soil_type == "A":
        words = "Soil of type A: soil that was dug before, as the fill beside a house, is never A."
        yield Finding("caution", "ground", words)
    if job.rod.yield_ksi is None:
        words = (
            "No yield is given for the rod: the company's default is used; the maker's sheet has the figure."
        )
        yield Finding("remark", "rod", words)


def _rule_findings(job: Job, rules: Rules) -> Iterator[Finding]:
    for rule in rules.loosened:
        if rule.value is None or rule.default is None:
            continue
        value, default = (in_words(rule, one, job.job.units) for one in (rule.value, rule.default))
        words = (
            f"{rule.label}: set to {value} by {rule.said_by}, less strict than {default};"
            " it goes into the record."
        )
        yield Finding("caution", "rules", words)


def _anchor_findings(job: Job, rules: Rules, anchor: Anchor) -> Iterator[Finding]:
    system = job.job.units
    if anchor.drop_in is None and anchor.yard_slope is None:
        yield Finding("remark", "ground", NO_DROP, anchor=anchor.id)
    least, aim = anchor.least_depth_in, anchor.aim_depth_in
    if least is not None and aim is not None and not at_least(aim, least):
        words = f"The plan aims for {show_length(aim, system)}, shallower than its own least depth."
        yield Finding("stop", "depth", words, anchor=anchor.id)
    yield from _setback_findings(job, rules, anchor)
    yield from _mark_findings(job, rules, anchor)
    hole_in = planned_number(job, rules, anchor, "hole_diameter_in")
    if anchor is job.anchors[0] and not at_least(hole_in, job.rod.diameter_in):
        words = "The hole in the wall is smaller than the rod: another bit, or another rod."
        yield Finding("stop", "rod", words)


def _setback_findings(job: Job, rules: Rules, anchor: Anchor) -> Iterator[Finding]:
    system = job.job.units
    setback_in = planned_number(job, rules, anchor, "setback_in")
    shown = show_length(setback_in, system)
    half_pit_in = planned_number(job, rules, anchor, "pit_along_rod_in") / 2
    reach_in = anchor.obstacle_reach_in
    if reach_in is not None and not at_least(setback_in - half_pit_in, reach_in):
        words = (
            f"The pit at {shown} would meet the {anchor.obstacle}, which reaches"
            f" {show_length(reach_in, system)} out: set it farther out, and count the rod again."
        )
        yield Finding("stop", "setback", words, anchor=anchor.id)


def _mark_findings(job: Job, rules: Rules, anchor: Anchor) -> Iterator[Finding]:
    mark_in = anchor.mark_depth_in
    if mark_in is None:
        return
    top_in, bottom_in = rules.number("mark_band_top_in"), rules.number("mark_band_bottom_in")
    if not (at_least(mark_in, top_in) and at_most(mark_in, bottom_in)):
        system = job.job.units
        words = (
            f"The mark at {show_length(mark_in, system)} lies outside the company's band,"
            f" {show_length(top_in, system)} to {show_length(bottom_in, system)}: the plan may say so."
        )
        yield Finding("caution", "mark", words, anchor=anchor.id)


__all__ = ["Finding", "Severity", "check_plan"]
