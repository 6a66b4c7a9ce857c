"""What is wrong with the job of a visit: nothing is dug or driven, only what is turned is looked at."""

from __future__ import annotations

from crewtui.job.check.finding import Finding
from crewtui.job.check.later_findings import later_findings
from crewtui.job.check.likely_findings import likely_findings
from crewtui.job.file.model import Job
from crewtui.job.tables.rules import Rules


def visit_findings(job: Job, rules: Rules) -> tuple[Finding, ...]:
    """Return what is wrong with a visit's job: schedule, torques, and what no earlier record says."""
    found = [*later_findings(job, rules), *likely_findings(job)]
    if job.tightening is None:
        words = "There is no schedule of later tightening: no nut is turned on this visit."
        found.append(Finding("remark", "tightening", words))
    for anchor in job.anchors:
        built = anchor.built
        if built is None:
            words = "Nothing is carried over from a record of the house: let `crewtui visit` write this job."
            found.append(Finding("caution", "anchors", words, anchor=anchor.id))
        elif anchor.owner_adjustable and built.torque_left_lbf_ft is None:
            words = "No record says at which torque it was left: ask the office before a nut is turned here."
            found.append(Finding("caution", "torque", words, anchor=anchor.id))
    return tuple(found)
