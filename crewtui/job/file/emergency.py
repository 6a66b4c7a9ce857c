"""The emergency page: what to do when a line is struck or somebody is hurt, and whom to call.

Common practice, no single source; the utility, the fire service and the competent person govern.
"""

from __future__ import annotations

from typing import Final

from crewtui.job.file.model import Job

_STRUCK: Final = (
    "1  STOP. Everybody away from the pit, the rod and the hammer, upwind if you smell gas.",
    "2  LEAVE rod and hammer where they are. Do not pull the rod back out.",
    "3  TOUCH NO SWITCH: no lights, no tools, no engine, no telephone indoors. No flame.",
    "4  GET EVERYBODY OUT of the house and off the yard, the owner too.",
    "5  TELEPHONE FROM OUTSIDE, well away: emergency services, then the line's owner.",
    "6  Electric: touch nothing that touches the rod; keep 30 ft off; feet together, short steps.",
    "7  Keep others away until the fire service or the line's owner says otherwise.",
)
_HURT: Final = (
    "Somebody hurt: call first, then help. Nobody climbs into a pit after somebody.",
    "A pit that has caved in: nobody digs with a machine, nobody goes in.",
)


def emergency_words(job: Job) -> str:
    """Return the page as plain text: what to do, whom to call, and the address to read out."""
    address = job.job.address or "NOT IN THE JOB FILE: read the house number and street from the front."
    lines = [*_STRUCK, "", "READ OUT THIS ADDRESS", f"   {address}", f"   {job.job.site}", "", "CALL"]
    if job.contacts:
        lines += [f"   {c.phone:<18} {c.role}" + (f", {c.name}" if c.name else "") for c in job.contacts]
    else:
        lines.append("   No contacts in the job file: the local emergency number first.")
    if job.ticket:
        lines.append(f"   Locate ticket to quote: {job.ticket.number}")
    return "\n".join([*lines, "", *_HURT])
