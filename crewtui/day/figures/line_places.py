"""Where along a line an anchor meets it, and what is known of it there."""

from __future__ import annotations

from msgspec import Struct

from crewtui.day.figures.line_figures import LineFigures
from crewtui.day.figures.of_anchor import AnchorFigures, figures_for
from crewtui.day.state.state import DayState
from crewtui.trade.ground.exposed import PlanPoint, beside, place_along, point_along
from crewtui.trade.ground.line_verdict import LineVerdict
from crewtui.trade.ground.lines import Line, PitVerdict
from crewtui.units import show_length


class LineHere(Struct, frozen=True, kw_only=True):
    """One line as an anchor meets it."""

    name: str
    kind: str
    depth_in: float | None
    """As laid bare here, else as the plan has it."""
    laid_bare: bool
    """It was laid bare here, and so is known."""
    asked: bool
    """It has to be laid bare here."""
    note: str


def place_at(state: DayState, anchor: str, line: str, out_in: float | None) -> PlanPoint:
    """Return where a line was laid bare at an anchor: so far out on the rod's line, else where it is asked.

    A line that runs beside the rod is found so far out on its own marks.
    """
    lines = _lines(figures_for(state, anchor))
    pit = next(one for one in lines.pits if one.line.name == line)
    verdict = next((one for one in lines.lines if one.line.name == line), None)
    if out_in is None:
        return _asked_at(pit, verdict)
    along_in = pit.pit.along_in
    if verdict is None or verdict.crosses:
        return (along_in, out_in)
    return _on_marks(pit.line, out_in, along_in)


def _asked_at(pit: PitVerdict, verdict: LineVerdict | None) -> PlanPoint:
    """Return where the next hole serves most; where none is asked for, where the line passes."""
    for place in (verdict.dig_at if verdict is not None else None, pit.dig_at):
        if place is not None:
            return place
    points = pit.line.points
    if verdict is None:
        return point_along(points, place_along(points, (pit.pit.along_in, pit.pit.setback_in)))
    passing = verdict.passing[0]
    return point_along(points, place_along(points, (passing.along_in, passing.out_in)))


def _on_marks(line: Line, out_in: float, along_in: float) -> PlanPoint:
    """Return the place on a line's marks so far out, the one nearest to the anchor; else square from it."""
    found: list[tuple[float, PlanPoint]] = []
    for (x1, y1), (x2, y2) in zip(line.points, line.points[1:], strict=False):
        if min(y1, y2) <= out_in <= max(y1, y2):
            share = 0.0 if y1 == y2 else (out_in - y1) / (y2 - y1)
            place = (x1 + share * (x2 - x1), out_in)
            if y1 == y2:
                place = beside((along_in, out_in), (x1, y1), (x2, y2))[1]
            found.append((abs(place[0] - along_in), place))
    return min(found)[1] if found else (along_in, out_in)


def _lines(figures: AnchorFigures) -> LineFigures:
    if figures.lines is None:
        raise ValueError("; ".join(figures.said.get("lines", ())) or "The lines cannot be judged here yet.")
    return figures.lines


def lines_here(state: DayState, figures: AnchorFigures) -> tuple[LineHere, ...]:
    """Return every line of the anchor's wall, with what is known of it there and what is asked."""
    if figures.lines is None:
        return ()
    verdicts = {one.line.name: one for one in figures.lines.lines}
    return tuple(_here(state, pit, verdicts.get(pit.line.name)) for pit in figures.lines.pits)


def _here(state: DayState, pit: PitVerdict, verdict: LineVerdict | None) -> LineHere:
    line = pit.line
    met = verdict is not None and bool(verdict.met)
    asked = pit.dig_at is not None or (verdict is not None and bool(verdict.bare))
    laid_bare = (met or pit.in_zone) and not asked
    depth_in = verdict.depth_in if verdict is not None else None
    return LineHere(
        name=line.name,
        kind=line.kind,
        depth_in=depth_in if depth_in is not None else line.depth_in,
        laid_bare=laid_bare,
        asked=asked,
        note=_note(state, pit, verdict, asked=asked, laid_bare=laid_bare),
    )


def _note(
    state: DayState,
    pit: PitVerdict,
    verdict: LineVerdict | None,
    *,
    asked: bool,
    laid_bare: bool,
) -> str:
    if laid_bare:
        return "deep to its middle, laid bare here"
    if not asked:
        return "its zone stays clear of this rod and pit"
    along_in, out_in = _asked_at(pit, verdict)
    out, along = (show_length(one, state.job.job.units) for one in (out_in, along_in))
    unplaced = any(one.line == pit.line.name and not one.placed for one in state.shared.exposed)
    elsewhere = (
        "; an older entry does not say where"
        if unplaced
        else "; laid bare elsewhere"
        if pit.line.spots
        else ""
    )
    return f"expose it {out} out, {along} along; type its depth{elsewhere}"


__all__ = ["LineHere", "lines_here", "place_at"]
