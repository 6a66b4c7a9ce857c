"""Five hundred made-up records of an office: installs and visits, some open, some moving, some late."""

# ruff: noqa: S311 - luck that comes out the same each time is what is wanted here

from __future__ import annotations

import random
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from crewtui.record.signed.canonical import canonical_hash
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND, sign_record, write_record
from crewtui.record.signed.signing_keys import SigningKey

KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
TODAY = date(2031, 6, 1)
LEADS = ("Lee Sample", "Kim Sample", "Lou Sample")
HEIGHTS = [4.0, 46.0, 88.0]


def _made(entry: int, at: datetime) -> dict[str, Any]:
    return {"entry": entry, "done_at": at}


def _value(quantity: str, value: float, entry: int, at: datetime) -> dict[str, Any]:
    return {"quantity": quantity, "value": value, "step": quantity, **_made(entry, at)}


def _reading(when: str, bow_in: float, at: datetime) -> dict[str, Any]:
    return {
        "when": when,
        "line": "plumb line",
        "heights_in": HEIGHTS,
        "offsets_in": [6.0, 6.0 - bow_in, 6.0],
        "resolution_in": 0.0625,
        **_made(14, at),
    }


def _anchor(number: int, at: datetime, bow_in: float, luck: random.Random) -> dict[str, Any]:
    depth_in = round(luck.gauss(41, 2), 2)
    clicked = luck.random() > 0.03
    return {
        "id": f"N{number}",
        "wall": "north",
        "state": "complete",
        "first_at": at,
        "last_at": at,
        "planned": {"along_in": 32.0 + 68 * number, "setback_in": 156.0, "owner_adjustable": True},
        "figure": {"least_depth_in": 36.0, "greatest_depth_in": 48.0},
        "value": [
            _value("pit_depth_in", 54.0, 5, at),
            _value("depth_found_in", depth_in, 9, at),
            _value("lifts", 9.0, 12, at),
        ],
        "attempt": [
            {
                "attempt": 1,
                "held_angle_deg": 6.4,
                "found": True,
                "depth_found_in": depth_in,
                "drift_deg": -0.4,
                **_made(9, at),
            }
        ],
        "torque": [
            {
                "tightening": "second",
                "round": 3,
                "of": 3,
                "torque_lbf_ft": 80.0,
                "set_lbf_ft": 65.0,
                "clicked": clicked,
                **_made(11, at),
            }
        ],
        "bow": [{"when": "after", "bow_in": bow_in, "how": "read", "entry": 14}],
        "reading": [_reading("after", bow_in, at)],
    }


def write_office(folder: Path, records: int = 500, seed: int = 7) -> None:
    """Write that many made-up records, the visits among them following their installs."""
    luck = random.Random(seed)
    folder.mkdir(parents=True, exist_ok=True)
    written = house = 0
    while written < records:
        house += 1
        at = datetime(2029, 4, 2, 21, tzinfo=UTC) + timedelta(days=luck.randrange(0, 780))
        bows = [luck.uniform(0.75, 2.5) for _ in range(luck.randrange(2, 7))]
        before = _install(folder, house, at, bows, luck)
        written += 1
        moving = luck.random() < 0.15
        while written < records and luck.random() < 0.55:
            at += timedelta(days=luck.randrange(170, 380))
            if at.date() > TODAY:
                break
            bows = [bow + (0.3 if moving else 0.0) + luck.gauss(0, 0.02) for bow in bows]
            before = _visit(folder, house, at, bows=bows, before=before, number=written)
            written += 1


def _signed(folder: Path, name: str, at: datetime, data: dict[str, Any]) -> str:
    head = {"kind": RECORD_KIND, "format": RECORD_FORMAT, "revision": {"number": 1}}
    record = sign_record({**head, **data}, KEY, signed_at=at)
    write_record(folder / f"{name}.record.toml", record)
    return canonical_hash({key: part for key, part in record.items() if key != "signature"})


def _job(house: int, name: str, at: datetime, luck: random.Random) -> dict[str, Any]:
    return {
        "id": name,
        "site": f"Invented house {house}, Sample Lane",
        "date": at.date(),
        "lead": luck.choice(LEADS),
        "file": f"{name}.toml",
        "file_sha256": "0" * 64,
    }


def _install(folder: Path, house: int, at: datetime, bows: list[float], luck: random.Random) -> str:
    anchors = [_anchor(number, at, bow, luck) for number, bow in enumerate(bows, start=1)]
    data: dict[str, Any] = {
        "complete": True,
        "day": "install",
        "house": {"id": f"H-{house:04}"},
        "job": _job(house, f"S-{house:04}", at, luck),
        "wall": [{"name": "north", "type": luck.choice(["block", "poured concrete", "clay tile"])}],
        "ground": {"soil_type": luck.choice("BC")},
        "ticket": {"number": f"2031-{house:06} (invented)", "valid_to": at + timedelta(days=20)},
        "anchor": anchors,
        "material": [
            {
                "item": "rods",
                "size_in": [90.0],
                "planned": 3 * len(bows),
                "used": 2 * len(bows),
                "back": len(bows),
            }
        ],
        "hours": [
            {"who": who, "hours": round(luck.uniform(6, 10), 2), "at_work_on": "on site", **_made(30, at)}
            for who in ("Pat Sample", "Kim Sample")
        ],
    }
    if luck.random() < 0.5:
        due = (at + timedelta(days=365)).date()
        data["tightening"] = {"said_by": "Sheet S-1 (invented)", "when": "each spring", "first_visit": due}
    if luck.random() < 0.08:
        last = anchors[-1]
        last["state"], last["open"] = "open", ["Backfilled and tamped, lifts; sod back", "Anchor closed"]
        last["value"] = [value for value in last["value"] if value["quantity"] != "lifts"]
        data["complete"], data["open"] = False, ["Label with the job on the wall"]
    if luck.random() < 0.1:
        data["deviation"] = [
            {
                "kind": "outside limits",
                "anchor": "N1",
                "text": "rod 2 in off the middle",
                "reason": "a root; the plate still bears whole",
                **_made(20, at),
            }
        ]
    return _signed(folder, f"S-{house:04}", at, data)


def _visit(folder: Path, house: int, at: datetime, *, bows: list[float], before: str, number: int) -> str:
    anchors = [
        {
            "id": f"N{place}",
            "wall": "north",
            "state": "complete",
            "first_at": at,
            "last_at": at,
            "planned": {"along_in": 32.0 + 68 * place},
            "value": [_value("bow_found_in", bow, 3, at), _value("torque_found_lbf_ft", 78.0, 4, at)],
            "bow": [{"when": "before", "bow_in": bow, "how": "read", "entry": 14}],
            "reading": [_reading("before", bow, at)],
        }
        for place, bow in enumerate(bows, start=1)
    ]
    name = f"S-{house:04}-V{number}"
    data = {
        "complete": True,
        "day": "visit",
        "house": {"id": f"H-{house:04}", "follows": before},
        "job": _job(house, name, at, random.Random(number)),
        "wall": [{"name": "north", "type": "block"}],
        "anchor": anchors,
    }
    return _signed(folder, name, at, data)
