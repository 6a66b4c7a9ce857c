"""A day in plain values, and how two of them differ: what files kept from an earlier program are held to."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

import msgspec

from crewtui.day.figures.figures_shown import worked_to
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.state.state import AnchorNow, DayState, Deviation, Holding
from crewtui.record.sheets.sheet_parts import sheet_view
from crewtui.record.signed.progress import progress_of
from crewtui.record.signed.read_form import read_form

TOLERANCE = 1e-6
"""Finer than any tape; another machine's last binary digit is no difference."""


def plain(value: Any) -> Any:
    """Return a value as JSON has it."""
    if isinstance(value, Mapping):
        return {str(key): plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    return value


def day_summary(state: DayState) -> dict[str, Any]:
    """Return what a day adds up to: the job's own, and each anchor's state, figures and limits."""
    shared, still = state.shared, progress_of(state).open_steps
    job = {
        "answers": {
            key: [one.answer, one.reason, one.deviates, one.n] for key, one in shared.answers.items()
        },
        "as_built": {key: [one.value, one.text, one.n] for key, one in shared.as_built.items()},
        **_holding(shared.holding),
        "facts": shared.facts,
        "drift": {key: [one.mean_deg, one.on, one.n] for key, one in shared.drift.items()},
        "exposed": {one.line: one.depth_in for one in shared.exposed},
        "accepted": shared.accepted,
        "hours": [[one.tool, one.hours, one.level_dba, one.who] for one in shared.exposures],
        "rods_left": {f"{length_in:g}": count for length_in, count in shared.truck.rods.items()},
        "offcuts": shared.truck.offcuts,
        "counted": shared.truck.counted,
        "notes": shared.notes,
        "emergencies": len(shared.emergencies),
        "revision": shared.revision,
        "record_sha256": shared.record_sha256,
        "day_began_n": shared.day_began_n,
        "reopened_n": shared.reopened_n,
        "faded_n": shared.faded_n,
        "fill_n": shared.fill_n,
        "unplaced": shared.unplaced,
        "taken_back": sorted(state.taken_back),
        "last_n": state.last_n,
        "open": still[""],
        "deviations": [[one.n, one.kind, one.anchor, *_said(one)] for one in shared.deviations],
    }
    anchors = {ident: _anchor(state, now, still.get(ident, ())) for ident, now in state.anchors.items()}
    found: dict[str, Any] = plain({"anchors": anchors, "job": job})
    return found


def _anchor(state: DayState, now: AnchorNow, still_open: Any) -> dict[str, Any]:
    figures = None if now.dropped else figures_for(state, now.id)
    plan = now.plan.model_dump(mode="json")
    return {
        "wall": now.wall,
        "dropped": now.dropped,
        "pit_entry": now.pit_entry,
        "added": now.planned is None,
        "plan": {key: value for key, value in plan.items() if value not in (None, "", [], False)},
        "as_built": {
            key: [one.value, one.text, one.then, one.reason, one.outside, one.n]
            for key, one in now.as_built.items()
        },
        "answers": {key: [one.answer, one.reason, one.deviates, one.n] for key, one in now.answers.items()},
        "attempts": [
            [
                *(one.n, one.attempt, one.held_angle_deg, one.depth_found_in, one.side_offset_in),
                *(one.straight, one.left_out_reason, one.way.kind if one.way else ""),
            ]
            for one in now.drives
        ],
        "pieces": [one.length_in for one in now.pieces],
        "readings": {
            when: [[one.height_in, one.offset_in] for one in read.heights]
            for when, read in now.readings.items()
        },
        "aim": now.aim,
        "aim_because": now.aim_because,
        **_holding(now.holding),
        "deviations": [[one.n, one.kind, *_said(one)] for one in now.deviations],
        "open": still_open,
        "figures": worked_to(figures) if figures else {},
        "limits": {
            name: limit.value
            for name, limit in (figures.limits.items() if figures else ())
            if limit.value is not None
        },
    }


def _holding(holding: Holding) -> dict[str, Any]:
    return {
        "hazards": {key: [one.in_place, one.initials, one.n] for key, one in holding.hazards.items()},
        "released": {key: [one.initials, one.n] for key, one in holding.released.items()},
        "overridden": {key: [one.name, one.n] for key, one in holding.overridden.items()},
    }


def _said(deviation: Deviation) -> tuple[str, str, str]:
    return deviation.step, deviation.text, deviation.reason


def sheet_summary(record: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the owner's sheet says in words, without its drawings."""
    view = sheet_view(read_form(record))
    return {
        **{
            name: json.loads(msgspec.json.encode(getattr(view, name)))
            for name in ("facts", "summary", "owner", "contacts")
        },
        "anchors": {
            card.id: {
                "state": card.state,
                "adjustable": card.adjustable,
                "facts": [list(pair) for pair in card.facts],
                "readings": [list(pair) for pair in card.readings],
            }
            for card in view.anchors
        },
    }


def differing(kept: Any, now: Any, place: str = "") -> Iterator[tuple[str, str]]:
    """Yield each place at which two of them differ, and how, as (place, words)."""
    if isinstance(kept, Mapping) and isinstance(now, Mapping):
        for key in [*kept, *(key for key in now if key not in kept)]:
            here = f"{place}.{key}" if place else str(key)
            if key not in now or key not in kept:
                yield here, f"{here}: {'only kept' if key in kept else 'only now'}"
            else:
                yield from differing(kept[key], now[key], here)
    elif isinstance(kept, list | tuple) and isinstance(now, list | tuple) and len(kept) == len(now):
        for number, (one, other) in enumerate(zip(kept, now, strict=True)):
            yield from differing(one, other, f"{place}[{number}]")
    elif isinstance(kept, float) and isinstance(now, float) and abs(kept - now) <= TOLERANCE:
        return
    elif kept != now:
        yield place, f"{place}: {kept!r} was kept, now {now!r}"
