"""Invented records for the tests of the sheets: a wall of anchors, each as a test wants it."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

from crewtui.record.sheets.owner_sheet import Reader, owner_sheet
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND, sign_record
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import Verdict, verify_data

PLANNED = date(2030, 11, 30)
AT = datetime(2031, 4, 5, 16, 20, tzinfo=UTC)
KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))


def reading(when: str, bow_in: float, at: datetime = AT) -> dict[str, Any]:
    return {
        "when": when, "line": "plumb line", "heights_in": [4.0, 46.0, 88.0], "resolution_in": 0.0625,
        "offsets_in": [6.0, 6.0 - bow_in, 6.0], "done_at": at,
    }  # fmt: skip


def anchor(ident: str = "N1", along_in: float = 84.0, at: datetime = AT, **values: Any) -> dict[str, Any]:
    """Return a finished anchor, clicked at its torque, that the plan gives to the owner."""
    inputs = {
        "along_in": along_in, "setback_in": 150.0, "drop_in": 6.0, "mark_depth_in": 28.0, "bow_in": 1.0,
        "thickness_in": 8.0, "grade_to_top_in": 8.0, "slab_to_top_in": 92.0, "pit_depth_in": 54.0,
        "pit_along_rod_in": 12.0, "plate_height_in": 12.0, "plate_width_in": 12.0,
    }  # fmt: skip
    built = {
        "setback_in": 150.0, "mark_depth_in": 28.0, "pit_depth_in": 54.0, "depth_found_in": 41.0,
        "first_torque_lbf_ft": 80.0, "lifts": 8.0, "second_torque_lbf_ft": 80.0,
    }  # fmt: skip
    built |= values.pop("built", {})
    return {
        "id": ident, "wall": "north", "state": "complete",
        "planned": {"along_in": along_in, "owner_adjustable": True, "torque_lbf_ft": 80.0},
        "figure": {"torque_lbf_ft": 80.0},
        "input": [{"quantity": name, "value": value} for name, value in inputs.items()],
        "value": [
            {"quantity": name, "value": value, "done_at": at, "then": "clicked" if "torque" in name else ""}
            for name, value in built.items() if value is not None
        ],
        **values,
    }  # fmt: skip


def signed(**changes: Any) -> Verdict:
    """Return a record of one wall of 20 ft, signed, and checked."""
    data: dict[str, Any] = {
        "kind": RECORD_KIND, "format": RECORD_FORMAT, "complete": True, "day": "install",
        "governs": "The engineer's plan governs.",
        "job": {"id": "J-1", "site": "Sample Lane 5 (invented)", "date": PLANNED, "units": "imperial",
                "lead": "Lee Sample", "company": "Sample Walls (invented)"},
        "wall": [{"name": "north", "type": "block", "length_in": 240.0, "thickness_in": 8.0,
                  "slab_to_top_in": 92.0, "grade_to_top_in": 8.0}],
        "contacts": [{"role": "office", "name": "Jo Sample", "phone": "555-0103"}],
        "tightening": {"said_by": "Sheet S-1 (invented)", "when": "each spring", "turn": "a quarter turn",
                       "first_visit": date(2031, 10, 1)},
        "anchor": [anchor()],
    }  # fmt: skip
    return verify_data(sign_record(data | changes, KEY, signed_at=AT), KNOWN)


def page(reader: Reader = "owner", **changes: Any) -> str:
    """Return the page of such a record."""
    return owner_sheet(signed(**changes), reader)
