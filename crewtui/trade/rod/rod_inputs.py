"""What one anchor's rod follows from: section, fittings, stock, hole and room."""

from __future__ import annotations

import math
from typing import Final

from msgspec import Struct

from crewtui.trade.checks import checked, checked_angle

STUB_IN: Final = 4.0
"""Rod left standing in the room for the next piece: half a coupling and a grip; from memory."""
PIECE_LEAST_IN: Final = 12.0
"""Shortest piece of rod that is screwed on: company setting, from memory."""
OFFCUT_WORTH_KEEPING_IN: Final = 24.0
"""Shortest offcut that goes back on the truck: company setting, from memory."""
SLEEVE_PAST_WALL_IN: Final = 0.25
"""What the sleeve stands past the wall's face: common practice, no source."""


class RodInputs(Struct, frozen=True, kw_only=True):
    """All that one anchor's rod follows from."""

    seat_in: float
    """Outer wall face to the seat of the plate."""
    way_in: float
    """The rod's way through the wall, level: thickness and bow."""
    angle_deg: float
    plate_thickness_in: float
    nut_height_in: float
    threads_showing: float
    threads_per_in: float
    wall_plate_thickness_in: float
    washer_thickness_in: float
    take_up_in: float
    """Rod that stays past the wall nut, for later tightening."""
    stock_lengths_in: tuple[float, ...]
    rod_diameter_in: float
    coupling_length_in: float
    coupling_corners_in: float
    hole_diameter_in: float
    wall_thickness_in: float | None = None
    """The hole's length; ``way_in`` where it is not given."""
    drilled_angle_deg: float | None = None
    sleeve_inside_in: float | None = None
    sleeve_past_wall_in: float = SLEEVE_PAST_WALL_IN
    free_room_in: float | None = None
    """Square to the wall, from its inner face to the first thing in the way; None where it is not known."""
    hammer_length_in: float | None = None
    """Hammer and driver, along the rod."""
    stub_in: float = STUB_IN
    piece_least_in: float = PIECE_LEAST_IN
    offcut_worth_keeping_in: float = OFFCUT_WORTH_KEEPING_IN
    driven_in: tuple[float, ...] = ()
    """Pieces in the ground, from the leading end."""
    pieces_in: tuple[float, ...] = ()
    """Pieces still to be driven, where a cut list has set them; else they are chosen here."""
    pulled_in_in: float = 0.0
    """How far tightening has drawn the rod into the room."""

    def __post_init__(self) -> None:
        for name, value in (
            ("The distance to the seat", self.seat_in),
            ("The rod's way through the wall", self.way_in),
            ("The threads per inch", self.threads_per_in),
            ("The rod's diameter", self.rod_diameter_in),
            ("The coupling's length", self.coupling_length_in),
            ("The hole's diameter", self.hole_diameter_in),
            ("The least piece", self.piece_least_in),
            *(("A length of stock", length_in) for length_in in self.stock_lengths_in),
            *(("A piece of rod", length_in) for length_in in self.driven_in + self.pieces_in),
        ):
            checked(name, value, above=0)
        for name, value in (
            ("The plate's thickness", self.plate_thickness_in),
            ("The nut's height", self.nut_height_in),
            ("The threads showing", self.threads_showing),
            ("The wall plate's thickness", self.wall_plate_thickness_in),
            ("The washer's thickness", self.washer_thickness_in),
            ("The take-up", self.take_up_in),
            ("What the sleeve stands past the wall", self.sleeve_past_wall_in),
            ("The stub", self.stub_in),
            ("The free room", self.free_room_in or 0.0),
            ("The length of hammer and driver", self.hammer_length_in or 0.0),
            ("The pull-in", self.pulled_in_in),
        ):
            checked(name, value, least=0)
        checked_angle(self.angle_deg)

    @property
    def cos(self) -> float:
        """Level distance per length of rod."""
        return math.cos(math.radians(self.angle_deg))

    @property
    def past_plate_in(self) -> float:
        """What stands out past the seat: plate, nut and the threads showing."""
        # plate + nut + threads showing / threads per inch
        return self.plate_thickness_in + self.nut_height_in + self.threads_showing / self.threads_per_in

    @property
    def in_room_in(self) -> float:
        """What stands in the room when all is done: wall plate, washer, nut and the take-up."""
        fittings_in = self.wall_plate_thickness_in + self.washer_thickness_in + self.nut_height_in
        return fittings_in + self.take_up_in

    @property
    def needed_in(self) -> float:
        """The whole rod, from its leading end to the end of the take-up."""
        # (S + t)/cos θ + past the plate + in the room
        return (self.seat_in + self.way_in) / self.cos + self.past_plate_in + self.in_room_in

    @property
    def lead_place_in(self) -> float:
        """Where the leading end stands, from the outer face."""
        return self.seat_in / self.cos + self.past_plate_in

    @property
    def drawn_in(self) -> float:
        """How far a joint may yet stand nearer the wall than before tightening."""
        return max(self.take_up_in, self.pulled_in_in)

    @property
    def room_along_rod_in(self) -> float | None:
        """The free room, along the rod."""
        return None if self.free_room_in is None else self.free_room_in / self.cos
