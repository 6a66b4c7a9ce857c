"""What of the yard cannot be judged: each line, footing and property line is known to one wall only."""

from __future__ import annotations

from collections.abc import Iterator

from crewtui.job.check.finding import Finding
from crewtui.job.file.model import Job


def yard_findings(job: Job) -> Iterator[Finding]:
    """Yield, for each wall with anchors, what in the yard was measured from other walls only.

    Where the walls stand to each other is not in a job file, so that a line round the corner cannot be held
    against this wall's rods and pits.
    """
    with_anchors = dict.fromkeys(anchor.wall for anchor in job.anchors)
    for wall in with_anchors:
        unseen = [
            *(f"the line {line.name} (measured from {line.wall})" for line in job.lines if line.wall != wall),
            *(f"the footing {one.name} (from {one.wall})" for one in job.footings if one.wall != wall),
            *(f"the property line (from {other})" for other in job.property_line if other != wall),
        ]
        if wall in job.property_line:
            unseen = [words for words in unseen if not words.startswith("the property line")]
        if unseen:
            words = (
                f"Cannot be judged for the anchors at {wall}: {'; '.join(unseen)}. If any reaches round to"
                f" there, measure it from {wall} too; else look at it on site."
            )
            yield Finding("caution", "yard", words)


__all__ = ["yard_findings"]
