"""The lines that are always on the screen: the banner, and a word on each pane."""

from __future__ import annotations

from typing import TYPE_CHECKING

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.job.tables.steps import Scope
from crewtui.tui.keys.commands import PANES, PaneName
from crewtui.tui.panes.anchors_pane import MANY
from crewtui.tui.widgets.chrome import Banner, Tab
from crewtui.units import show_angle, show_length

if TYPE_CHECKING:
    from crewtui.tui.app.day_screen import DayScreen


def banner_for(screen: DayScreen) -> Banner:
    """Return the top of the screen: anchor, place, what is next, and the saved state in words."""
    day, anchor = screen.day, screen.anchor_id
    now = day.state.anchors[anchor]
    wall = day.job.wall(now.wall)
    place = show_length(now.plan.along_in, day.job.job.units)
    return Banner(
        ident=anchor,
        where=f"{wall.name}, {wall.type}, {place} along - {day.job.job.site}",
        next_step=_coming(screen),
        saved=_saved(screen),
        alarm=bool(screen.alarm),
    )


def _coming(screen: DayScreen) -> str:
    """Return what is next: of the day before anything is begun, then of the anchor, then of what is left."""
    day, anchor = screen.day, screen.anchor_id
    if day.state.anchors[anchor].dropped:
        return f"dropped: {day.state.anchors[anchor].dropped}"
    begun = any(now.first_at is not None for now in day.state.live())
    first = _open_of_day(screen, "before")
    if first and (screen.pane == "day" or not begun):
        return f"next: {first}" if screen.pane == "day" else f"press d - next: {first}"
    upcoming = day.next_step(anchor)
    if upcoming is not None:
        return f"{'HELD, press h - ' if upcoming.holds else ''}next: {upcoming.label}"
    return f"nothing is open here - {_left_elsewhere(screen)}"


def _left_elsewhere(screen: DayScreen) -> str:
    """Return what is next where nothing is left at this anchor."""
    day, anchor = screen.day, screen.anchor_id
    loaded = screen.truck.latest
    if loaded is not None and anchor in loaded.question.unentered:
        return "next: enter the rod's pieces, press r"
    other = next((row.id for row in day.overview(held=False) if row.next_step and row.id != anchor), "")
    if other:
        return f"next: {other}, press a"
    last = _open_of_day(screen, "before") or _open_of_day(screen, "after")
    if last:
        return f"next: {last}, press d"
    if day.state.shared.signed_n == day.journal.entries[-1].n:
        return f"signed, revision {day.state.shared.revision}"
    return "next: sign the record, press c"


def _open_of_day(screen: DayScreen, scope: Scope) -> str:
    """Return the day's next step of that scope; empty where none is open."""
    return next((row.label for row in screen.day.rows(None, scope=scope) if row.is_next), "")


def _saved(screen: DayScreen) -> str:
    if screen.alarm:
        return f"NOT SAVED: {screen.alarm}"
    entries, saved_at = screen.day.journal.entries, screen.day.saved_at
    text = (
        f"saved {saved_at:%H:%M:%S}, {len(entries)} {'entry' if len(entries) == 1 else 'entries'}"
        if saved_at
        else "nothing entered yet"
    )
    done_at = screen.carrier.done_at
    return f"{text} - next entry is dated {done_at:%H:%M}" if done_at else text


def tabs_for(screen: DayScreen) -> tuple[Tab, ...]:
    """Return a tab for each pane, with one or two words of what it holds."""
    words = _pane_words(screen)
    return tuple(
        Tab(
            key=key,
            title=title,
            summary=words.get(name, ("", False))[0],
            active=name == screen.pane,
            held=words.get(name, ("", False))[1],
        )
        for name, key, title in PANES
    )


def _pane_words(screen: DayScreen) -> dict[PaneName, tuple[str, bool]]:
    day, anchor = screen.day, screen.anchor_id
    overview = day.overview(held=False)
    closed = sum(row.word == "closed" for row in overview)
    here = next(row for row in overview if row.id == anchor)
    holds = day.standing_holds(anchor)
    of_day = sum(
        not row.answered and row.mark != "not needed"
        for scope in ("before", "after")
        for row in day.rows(None, scope=scope)
    )
    deviations = len(day.state.deviations)
    return {
        "anchors": (f"{closed}/{len(overview)}", False),
        "steps": (f"{here.done}/{here.total}", False),
        "figures": _hold_word(screen),
        "ground": _line_word(screen),
        "rods": _truck_word(screen),
        "hazards": (f"{len(holds)} hold", bool(holds)),
        "wall": _wall_word(screen),
        "day": (f"{of_day} open" if of_day else "done", False),
        "record": (f"{deviations} dev." if deviations else "", False),
    }


def _truck_word(screen: DayScreen) -> tuple[str, bool]:
    loaded = screen.truck.latest
    if screen.truck.failed:
        return "no list", True
    return loaded.word if loaded is not None else ("working", False)


def _line_word(screen: DayScreen) -> tuple[str, bool]:
    """Say whether a line in the ground holds the drive, else how many lines there are."""
    facts = screen.day.facts(screen.anchor_id)
    lines = facts.lines if isinstance(facts, AnchorFigures) else None
    if lines is None or not lines.pits:
        return "", False
    if lines.holds_driving or any(pit.in_zone for pit in lines.pits):
        return "LINE", True
    return f"{len(lines.pits)} line" + ("s" if len(lines.pits) > 1 else ""), False


def _wall_word(screen: DayScreen) -> tuple[str, bool]:
    """Say how many findings are against a limit, else whether anything is left to measure."""
    day, wall = screen.day, screen.day.state.anchors[screen.anchor_id].wall
    here = sum(now.wall == wall for now in day.state.anchors.values())
    if here > MANY:
        return f"{here} here", False
    view = day.wall(wall)
    if view.wrong:
        return f"{view.wrong} wrong", True
    return ("ask" if any(one.verdict == "unknown" for one in view.found) else "ok"), False


def _hold_word(screen: DayScreen) -> tuple[str, bool]:
    facts = screen.day.facts(screen.anchor_id)
    if not isinstance(facts, AnchorFigures):
        return "", False
    if facts.window is None:
        return "ask", True
    if not facts.window.open:
        return "no window", True
    return show_angle(facts.held_angle_deg or 0.0), False
