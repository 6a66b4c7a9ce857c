"""Entries in words: what was saved, what was taken back, what the log shows."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

from crewtui import units
from crewtui.day.journal import entries as e
from crewtui.day.journal.beside_entries import ThingListed
from crewtui.day.session.beside_words import BESIDE_SAID, note_words
from crewtui.day.state.exposures import minutes
from crewtui.day.state.wall_reading import reading_words, station
from crewtui.day.steps.typed_value import show
from crewtui.job.tables import hazards
from crewtui.job.tables.quantities import in_words, kept_in
from crewtui.job.tables.steps import StepDef

LISTED_AS: Final = {
    "lines": "a line in the ground",
    "openings": "something in the wall",
    "in_ground": "something in the ground",
    "contacts": "somebody to call",
    "utilities": "a utility on the ticket",
}
PLAN_STAYS: Final = "the day goes on with the plan that it opened; the edited job file is not used"


class Wording:
    """Says entries in words, with the steps' labels and the job's units."""

    def __init__(self, steps: Mapping[str, StepDef], system: units.UnitSystem) -> None:
        self._steps, self._system = steps, system

    def say(self, entry: e.Entry) -> str:
        """Return the entry as a short line: where, what, and why where a reason was given."""
        where = getattr(entry, "anchor", None)
        words = _SAID[type(entry)](self, entry)
        reason = getattr(entry, "reason", "")
        return (f"{where}: " if where else "") + words + (f" ({reason})" if reason else "")

    def label(self, step: str) -> str:
        """Return a step's label, or its id where the steps no longer have it."""
        found = self._steps.get(step)
        return found.label if found is not None else step

    def hazard(self, ident: str) -> str:
        """Return what a hazard asks for, or the id of a hold that is no hazard."""
        return next((hazard.text for hazard in hazards.load() if hazard.id == ident), ident)

    def length(self, value_in: float) -> str:
        """Return a length in the job's units."""
        return units.show_length(value_in, self._system)

    def step_done(self, entry: e.StepDone) -> str:
        """Say a step's answer."""
        return f"{self.label(entry.step)}: {entry.answer}"

    def measured(self, entry: e.ValueMeasured) -> str:
        """Say a value with its unit, and as it was typed where that reads otherwise."""
        then = f", {entry.then}" if entry.then else ""
        step = self._steps.get(entry.step)
        shown = show(step, entry.value, self._system) if step is not None else entry.text
        typed = (
            "" if shown in {entry.text, f"{entry.text} in", f"{entry.text} mm"} else f" (typed {entry.text})"
        )
        return f"{self.label(entry.step)}: {shown}{typed}{then}"

    def way_taken(self, entry: e.WayTaken) -> str:
        """Say what is done about a rod that was driven."""
        return f"way on: {entry.way.words}" if entry.found else f"the rod did not show; {entry.way.words}"

    def driven(self, entry: e.DriveAttempted) -> str:
        """Say where a rod came up, and the way on."""
        found = (
            "not found" if entry.depth_found_in is None else f"found at {self.length(entry.depth_found_in)}"
        )
        way = f"; {entry.way.words}" if entry.way is not None else ""
        return f"drive {entry.attempt}, held at {units.show_angle(entry.held_angle_deg)}, {found}{way}"

    def tightened(self, entry: e.RoundTightened) -> str:
        """Say one round of tightening."""
        shown = units.show_torque(entry.set_lbf_ft, self._system)
        nut = units.show_torque(entry.torque_lbf_ft, self._system)
        came = "" if entry.came_in_in is None else f", came in {self.length(entry.came_in_in)}"
        up = "clicked" if entry.clicked else "did not come up"
        return (
            f"{entry.tightening} tightening, round {entry.round} of {entry.of}: wrench at {shown}"
            f" ({nut} at the nut), {up}{came}"
        )

    def pieces(self, entry: e.PiecesDriven) -> str:
        """Say which pieces went in."""
        lengths = " + ".join(
            units.show_length(piece.length_in, self._system, step=16) for piece in entry.pieces
        )
        return f"driven in: {lengths}"

    def counted(self, entry: e.StockCounted) -> str:
        """Say what was counted."""
        size = " x ".join(units.show_length(side, self._system, step=16) for side in entry.size_in)
        item = entry.item.replace("_", " ")
        return f"counted: {entry.count} {item}{f' of {size}' if size else ''}"

    def values(self, values: Mapping[str, float]) -> str:
        """Return values by key, as they are called and in the job's units."""
        return in_words(values, self._system)

    def filled_in(self, entry: e.SetUp) -> str:
        """Say what was filled in, and where."""
        if entry.replaces:
            return f"plan changed: {'; '.join(entry.replaces)}; agreed by {entry.agreed_by}"
        where = entry.table if not entry.name else f"{entry.table} {entry.name}"
        return f"filled in {where}: {', '.join(self._filled(entry))}"

    def listed(self, entry: ThingListed) -> str:
        """Say what was found that the job file does not list."""
        values = entry.values
        named = ", ".join(str(values[key]) for key in ("name", "role", "kind", "phone") if values.get(key))
        where = f" at {values['wall']}" if values.get("wall") else ""
        return f"{LISTED_AS[entry.table]} listed: {named}{where}"

    def _filled(self, entry: e.SetUp) -> Iterator[str]:
        for key, value in entry.values.items():
            quantity = kept_in(entry.table, key)
            if quantity is not None and isinstance(value, int | float):
                yield f"{quantity.label} {quantity.show(value, self._system)}"
            else:
                yield key.replace("_", " ") + (f" {value}" if isinstance(value, str | int) else "")

    def aimed(self, entry: e.AimChanged) -> str:
        """Say what is newly aimed for, and who agreed."""
        why = f"as advised: {entry.because}" if entry.advised else f"because {entry.because}"
        agreed = f"; agreed by {entry.agreed_by}" if entry.agreed_by else ""
        return f"aim changed to {self.values(entry.values)}, {why}{agreed}"

    def exposed(self, entry: e.LineExposed) -> str:
        """Say how deep a line lies."""
        return f"{entry.line} exposed at {self.length(entry.depth_in)}"

    def wall_read(self, entry: e.WallRead) -> str:
        """Say how the wall reads; one that was written by hand may not add up."""
        try:
            words = reading_words(station(entry), self._system)
        except ValueError as error:
            words = f"no reading, {error}"
        return f"wall read {entry.when} tightening: {words}"


_SAID: Final[Mapping[type, Callable[[Wording, Any], str]]] = {
    e.DayOpened: lambda _, entry: f"day opened with version {entry.program}",
    e.PlanChosen: lambda _, entry: (
        f"{entry.name}: {'the edited job file is the plan from here on' if entry.plan else PLAN_STAYS}"
    ),
    e.Continued: lambda _, entry: f"journal goes on after damage to {entry.file}",
    e.StepDone: Wording.step_done,
    e.ValueMeasured: Wording.measured,
    e.WayTaken: Wording.way_taken,
    e.DriveAttempted: Wording.driven,
    e.DriveLeftOut: lambda _, entry: (
        f"rod left out of the drift: {entry.reason}" if entry.reason else "rod counts for the drift again"
    ),
    e.RoundTightened: Wording.tightened,
    e.PiecesDriven: Wording.pieces,
    e.AimChanged: Wording.aimed,
    e.DriftAccepted: lambda _, entry: f"drift of {entry.wall} {'used' if entry.on else 'no longer used'}",
    e.DeviationAccepted: lambda _, entry: f"deviation of entry {entry.of} accepted by {entry.name}",
    e.HoldReleased: lambda words, entry: f"released by {entry.initials}: {words.hazard(entry.hold)}",
    e.HoldOverridden: lambda words, entry: f"set aside by {entry.name}: {words.hazard(entry.hold)}",
    e.HazardAnswered: lambda words, entry: (
        f"{'in place' if entry.in_place else 'NOT in place'}, {entry.initials}: {words.hazard(entry.hazard)}"
    ),
    e.FindingAnswered: lambda _, entry: (
        f"{entry.finding}, {entry.value}: may stay, says {entry.name}: {entry.reason}"
    ),
    e.MomentSigned: lambda _, entry: (
        f"read out and in place, {entry.moment}: {len(entry.job_hazards) + len(entry.anchor_hazards)}"
        f" lines, {entry.initials}"
    ),
    e.PitEntryAnswered: lambda _, entry: f"{'somebody' if entry.somebody else 'nobody'} goes into the pit",
    e.FactAnswered: lambda _, entry: f"{entry.fact}: {'yes' if entry.answer else 'no'}",
    e.AnchorMoved: lambda words, entry: (
        f"changed on site to {words.values(entry.values)}"
        f"{f'; agreed by {entry.agreed_by}' if entry.agreed_by else ''}"
    ),
    e.AnchorAdded: lambda _, entry: f"added on {entry.wall}",
    e.AnchorDropped: lambda _, _entry: "dropped",
    e.LineExposed: Wording.exposed,
    e.WallRead: Wording.wall_read,
    e.SoilJudged: lambda _, entry: (
        f"soil judged as {entry.soil_type}{', never dug before' if entry.undisturbed else ''}, {entry.name}"
    ),
    e.ExposureEntered: lambda _, entry: (
        f"{minutes(entry.hours)} on {entry.tool}, {'indoors' if entry.indoors else 'outdoors'}"
        f"{', ' + entry.who if entry.who else ''}{', by the clock' if entry.started else ''}"
    ),
    e.MarksFaded: lambda _, entry: f"marks on the ground have faded {entry.because}".rstrip(),
    e.Reopened: lambda _, entry: f"open pits to be looked over again: {entry.because}",
    e.Emergency: lambda _, entry: f"EMERGENCY: {entry.note or 'the page was opened'}",
    e.Note: note_words,
    e.SetUp: Wording.filled_in,
    ThingListed: Wording.listed,
    e.StockCounted: Wording.counted,
    e.Signed: lambda _, entry: f"record signed, revision {entry.revision}",
    e.TakenBack: lambda _, entry: f"entry {entry.of} taken back",
    **BESIDE_SAID,
}
