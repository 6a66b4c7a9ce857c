"""What one anchor's rod comes to: its pieces in the order driven, its joints, and what is wrong with it.

Places along the rod are counted from the wall's outer face, positive toward the plate, as they stand before
tightening.
"""

from __future__ import annotations

from msgspec import Struct

from crewtui.trade.rod.pieces import PieceLimits
from crewtui.trade.rod.rod_inputs import RodInputs
from crewtui.units import at_least


class RodPiece(Struct, frozen=True, kw_only=True):
    """One piece of the rod, in the order driven."""

    number: int
    length_in: float
    driven: bool
    stock_in: float | None
    """The stock that it is or is cut from; None for a driven piece and where no stock is so long."""
    cut: bool
    room_needed_in: float
    """Along the rod, from the inner face: the piece, the stub that it screws on to, hammer and driver."""
    room_there_in: float | None
    fits: bool


class Joint(Struct, frozen=True, kw_only=True):
    """One coupling, where it ends up."""

    number: int
    place_in: float
    """Middle of the coupling from the outer face, along the rod, before tightening."""
    place_drawn_in: float
    """The same when the whole take-up is drawn in."""
    clear_in: float
    """Least distance from the coupling to what is next to it, before and after; negative where they meet."""
    near: str
    """What it comes nearest to."""
    driven: bool
    """Whether both pieces that it joins are in the ground."""

    @property
    def clear(self) -> bool:
        """Whether it keeps half its length from wall, sleeve, nut and plate."""
        return at_least(self.clear_in, 0.0)


class CouplingWay(Struct, frozen=True, kw_only=True):
    """Whether the couplings pass hole and sleeve on their way through."""

    passes_hole: bool
    tilt_deg: float | None
    """Least tilt left to the rod, to either side, while a coupling is in the hole."""
    warnings: tuple[str, ...]


class RodPlan(Struct, frozen=True, kw_only=True):
    """One anchor's rod: pieces from the leading end, joints, tail, and what is wrong with it in words."""

    inputs: RodInputs
    needed_in: float
    past_plate_in: float
    in_room_in: float
    limits: PieceLimits
    pieces: tuple[RodPiece, ...]
    joints: tuple[Joint, ...]
    total_in: float
    spare_in: float
    """What there is over the needed length; negative where the rod is short."""
    trimmed_in: float
    """What is cut off in the room after tightening."""
    trimmed_worth_keeping: bool
    coupling_way: CouplingWay
    possible: bool
    """Whether these pieces fit the room and reach, and every coupling stands clear and passes the hole."""
    refused: str
    """Why not, in words; empty where they do."""
    mends: tuple[str, ...]
    """What would make it possible, each a way of its own."""
    warnings: tuple[str, ...] = ()

    @property
    def couplings(self) -> int:
        """Couplings on the whole rod."""
        return len(self.joints)

    @property
    def couplings_to_fit(self) -> int:
        """Couplings not in the ground yet."""
        return sum(not joint.driven for joint in self.joints)

    @property
    def to_drive_in(self) -> tuple[float, ...]:
        """Lengths still to be driven, in order."""
        return tuple(piece.length_in for piece in self.pieces if not piece.driven)
