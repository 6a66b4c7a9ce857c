"""The emergency page: what holds for everything, whom to call, and what to do about what happened.

Sources: 49 CFR 196.107 and 196.109 (damage to a pipeline is reported at once, leak or not; a release to the
emergency number) (published, reprint); 29 CFR 1926.651 for pits; the rest is common practice, no single
source. The utility, the fire service and the competent person govern.
"""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from crewtui.job.file.model import Contact, Job
from crewtui.trade.vocabulary import LineKind

FIRST: Final = (
    "1 STOP. Everybody away from pit, rod and hammer; upwind if you smell gas.",
    "2 LEAVE the rod in, the hole open, every valve as it is. No switch, no flame.",
    "3 OUT of the house and off the yard, the owner too. Count heads.",
    "4 CALL FROM OUTSIDE, well away: emergency number first, then the line's owner.",
    "5 KEEP PEOPLE AWAY until the fire service or the line's owner says otherwise.",
)
"""What holds whatever happened; nothing has to be chosen to read it."""


class Happened(Struct, frozen=True, kw_only=True):
    """One thing that happens, the key that shows what to do about it, and its words."""

    key: str
    title: str
    kinds: tuple[LineKind, ...] = ()
    """The kinds of line that it is about, whose owner is called."""
    words: tuple[str, ...]


HAPPENED: Final = (
    Happened(
        key="g",
        title="gas",
        kinds=("gas",),
        words=(
            "A nick, dent or scrape counts, leak or not: call the line's owner.",
            "Hiss, bubbles or smell: emergency number first, from outside, well away.",
            "Close no valve, pull no rod, fill no hole: gas would go into the house.",
            "No engine, phone, switch or smoking near it. Neighbors upwind.",
        ),
    ),
    Happened(
        key="l",
        title="electric",
        kinds=("electric",),
        words=(
            "Take rod, wet ground, hose and anything that touches them for live.",
            "Stay 30 ft off. On the rod or beside it: feet together, shuffle away.",
            "Touch nobody who hangs on it; switch nothing; wait for the line's owner.",
            "Tripped or dark is not dead: it may be switched on again from afar.",
        ),
    ),
    Happened(
        key="w",
        title="water or sewer",
        kinds=("potable water", "reclaimed water", "sewer"),
        words=(
            "Everybody out of every pit: wet sides give way. Keep off the rim.",
            "Call the line's owner, and tell the house to draw no water.",
            "Water near cord or panel: take it for live, stay out of the basement.",
            "Sewage: touch nothing, wash, and note who was splashed.",
        ),
    ),
    Happened(
        key="t",
        title="phone or data",
        kinds=("communication",),
        words=(
            "Look at no cut end of a cable: light in it is not seen and burns the eye.",
            "Do not twist, tape or bury it. Call the line's owner.",
            "Ask whether an alarm or a medical call line hangs on it.",
        ),
    ),
    Happened(
        key="h",
        title="somebody hurt",
        words=(
            "Call first, then help. Make the hammer, the saw and the power safe.",
            "Move nobody who fell or was struck, unless they lie in danger.",
            "Send one person to the street to lead the ambulance in.",
            "Nobody goes into a pit after somebody: bad air takes the second one too.",
        ),
    ),
    Happened(
        key="c",
        title="pit caved in",
        words=(
            "Nobody goes in and no machine digs. Everybody off the rim: more falls in.",
            "Emergency number: say that somebody is buried, and how deep.",
            "Talk to the buried person; keep machines and trucks far off and still.",
            "Hand tools from a board across the rim, only as the fire service says.",
        ),
    ),
    Happened(
        key="m",
        title="the wall moves",
        words=(
            "Everybody out of the basement and away from the wall on both sides.",
            "Loosen and tighten nothing. Take people out of the rooms above.",
            "Call the engineer; the emergency number where the house may come down.",
        ),
    ),
)
"""What may have happened, each with one key."""


class EmergencyWords(Struct, frozen=True, kw_only=True):
    """The page's words for one job."""

    address: str
    site: str
    ticket: str
    """The locate ticket to quote; empty where the job has none."""
    contacts: tuple[Contact, ...]

    def calls(self, happened: Happened | None = None) -> tuple[str, ...]:
        """Return whom to call, number first; those for what happened before the others."""
        if not self.contacts:
            return ("No numbers in the job file: the local emergency number.",)
        kinds = happened.kinds if happened is not None else ()
        listed = sorted(self.contacts, key=lambda one: _rank(one, kinds))
        return tuple(f"{one.phone:<14} {one.role}" + (f", {one.name}" if one.name else "") for one in listed)


def _rank(contact: Contact, kinds: tuple[LineKind, ...]) -> int:
    role = contact.role.casefold()
    if "emergency" in role or "911" in contact.phone:
        return 0
    return 1 if any(word in role for kind in kinds for word in kind.split()) else 2


def emergency_words(job: Job) -> EmergencyWords:
    """Return the words of the page for this job: the address to read out and whom to call."""
    return EmergencyWords(
        address=job.job.address or "NOT IN THE JOB FILE: read number and street from the front.",
        site=job.job.site,
        ticket=job.ticket.number if job.ticket else "",
        contacts=job.contacts,
    )


def without_number(job: Job) -> tuple[str, ...]:
    """Return the utilities that marked a line here and have no number among the contacts, by name."""
    if job.ticket is None:
        return ()
    roles = " ; ".join(f"{one.role} {one.name}".casefold() for one in job.contacts)
    return tuple(
        one.name
        for one in job.ticket.utilities
        if one.response == "marked"
        and one.name.split(" (")[0].casefold() not in roles
        and one.kind.split()[-1] not in roles
    )


__all__ = ["FIRST", "HAPPENED", "EmergencyWords", "Happened", "emergency_words", "without_number"]
