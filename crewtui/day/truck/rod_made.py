"""Which pieces an anchor's rod is made of: the one answer for figures, screen, cut list and paper."""

from __future__ import annotations

from typing import Final

from crewtui.day.truck.day_cut_list import rod_by_list
from crewtui.day.truck.loading import Loaded
from crewtui.trade.rod.rod_plan import RodPlan
from crewtui.units import UnitSystem

WORKING: Final = "being worked out for the truck as it is"


def rod_made(
    plan: RodPlan, anchor: str, loaded: Loaded | None, *, no_list: bool = False, system: UnitSystem
) -> RodPlan | None:
    """Return the rod in the pieces that the cut list gives it; None while the list is being worked out.

    By itself where nothing is left to drive, where it stands on no list, where values typed for a try make it
    another rod, and where there is no list at all.
    """
    if no_list or (plan.spare_in >= 0 and not plan.to_drive_in):
        return plan
    if loaded is None or loaded.working:
        return None
    return (
        rod_by_list(plan, loaded.cuts, anchor, system=system) if loaded.question.holds(plan, anchor) else plan
    )
