"""The cut list in a process of its own: a question comes in, better and better answers go out.

Run as ``python -m crewtui.trade.truck.cut_alone``. The solver's memory ends with it, it takes no turn from
the screen's keys, and where it fails, nothing else does. Messages are MessagePack, since JSON has no word for
infinite; each answer has its length in front, in four bytes.
"""

from __future__ import annotations

import sys
from typing import IO, Final

from msgspec import Struct, msgpack

from crewtui.trade.truck.cut_list import CutPlan, RodToCut, StockLength
from crewtui.trade.truck.cutting import plan_cuts
from crewtui.units import UnitSystem

_LENGTH_BYTES: Final = 4


class CutAsked(Struct, frozen=True, kw_only=True):
    """What is to be cut, from what, and after how many seconds each answer is wanted."""

    rods: tuple[RodToCut, ...]
    stock: tuple[StockLength, ...]
    kerf_in: float
    worth_keeping_in: float
    system: UnitSystem
    looks_s: tuple[float, ...]


def answer(source: IO[bytes], sink: IO[bytes]) -> None:
    """Answer one question; what one look has proven is not looked at again."""
    asked = msgpack.decode(source.read(), type=CutAsked)
    for limit_s in asked.looks_s:
        plan = plan_cuts(
            asked.rods,
            asked.stock,
            kerf_in=asked.kerf_in,
            worth_keeping_in=asked.worth_keeping_in,
            time_limit_s=limit_s,
            system=asked.system,
        )
        body = msgpack.encode(plan)
        sink.write(len(body).to_bytes(_LENGTH_BYTES) + body)
        sink.flush()
        if plan.proven:
            return


def read_answer(source: IO[bytes]) -> CutPlan | None:
    """Return the next answer; None where no whole one comes any more."""
    length = source.read(_LENGTH_BYTES)
    body = source.read(int.from_bytes(length))
    if len(length) < _LENGTH_BYTES or len(body) < int.from_bytes(length):
        return None
    return msgpack.decode(body, type=CutPlan)


if __name__ == "__main__":
    answer(sys.stdin.buffer, sys.stdout.buffer)
