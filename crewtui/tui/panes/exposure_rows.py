"""Dust and noise of the shift as rows of the day, and the questions with which time on a tool is entered."""

from __future__ import annotations

from typing import Final

from crewtui.day.state.exposures import TOOLS, minutes, share, shift_exposure, shift_noise, tool_of
from crewtui.tui.widgets.dialogs import AskChoice, AskText
from crewtui.tui.widgets.pane import Here, Pane
from crewtui.tui.widgets.rows import Row

ADD_TIME: Final = "exposure add"
_INDOORS: Final = {True: "indoors", False: "outdoors"}
_HOW: Final = (
    'Since the last entry: "45 min", "1 h 30". Add "at 98 dBA" if it was measured, and "by KS" if it was one'
    " person's; else it counts for everybody."
)


def exposure_rows(here: Here) -> list[Row]:
    """Return what was entered for the shift, what Table 1 asks of it, and the noise dose to its end."""
    state = here.day.state
    seen = shift_exposure(state)
    rows = [Row(key="title exposure", label="EXPOSURE THIS SHIFT", heading=True, note=seen.who)]
    for one in seen.times:
        asks = bool(one.need is not None and one.need.factor)
        note = "no dust of Table 1"
        if one.need is not None:
            note = (
                f"respirator of APF {one.need.factor} or more"
                if asks
                else "controls of Table 1, no respirator"
            )
        rows.append(
            Row(
                key=f"exposure {one.tool.id} {one.indoors}",
                label=f"{one.tool.label}, {_INDOORS[one.indoors]}",
                value=minutes(one.hours),
                note=note,
                note_tone="deviation" if asks else "quiet",
            )
        )
    if seen.times:
        noise = shift_noise(state, here.day.clock())
        over = noise.now.too_much or noise.at_this_pace.too_much
        rows.append(
            Row(
                key="exposure noise",
                label="Noise, share of what a shift allows",
                value=share(noise.now),
                mark="!" if over else "",
                tone="deviation" if over else "plain",
                note=f"{share(noise.at_this_pace)} by {noise.ends:%H:%M} at this pace; by Table D-2",
                note_tone="deviation" if over else "quiet",
            )
        )
    for tool, started in state.shared.beside.running.items():
        found = tool_of(tool)
        label = found.label if found is not None else tool
        rows.append(
            Row(
                key=f"running {tool}",
                label=f"{label} runs",
                value=f"since {started.done_at:%H:%M}",
                note="; stops it",
            )
        )
    rows.append(Row(key=ADD_TIME, label="Add time on a tool", note="Enter"))
    return rows


def exposure_saying(here: Here, key: str) -> tuple[tuple[str, str], ...]:
    """Return the words about one of these rows."""
    seen = shift_exposure(here.day.state)
    said: list[tuple[str, str]] = []
    for one in seen.times:
        if key == f"exposure {one.tool.id} {one.indoors}" and one.need is not None:
            said.append(("plain", one.need.words))
            said.append(("quiet", f"{one.need.place} (reprint): check the current edition and local rule."))
    if key == "exposure noise":
        noise = shift_noise(here.day.state, here.day.clock())
        words = f"Without a pause to {noise.ends:%H:%M} it would be {share(noise.without_a_pause)}."
        said.append(("plain", f"Dose by {noise.now.method}. {words}"))
        said += [("deviation", text) for text in (noise.now.warnings or noise.at_this_pace.warnings)]
    said += [
        ("quiet", text) for text in seen.dust.warnings if key.startswith("exposure ") and key != ADD_TIME
    ]
    return tuple(said)


def ask_exposure(pane: Pane) -> None:
    """Ask which tool and where, then for how long, and have it entered."""
    here = pane.here
    if here is None:
        return
    rules = here.day.state.rules
    choices = []
    for tool in TOOLS:
        level = f"{rules.number(tool.level_rule):g} dBA, company figure"
        places = (tool.indoors, not tool.indoors) if tool.task is not None else (tool.indoors,)
        choices += [(f"{tool.id}|{place}", f"{tool.label}, {_INDOORS[place]}", level) for place in places]

    def chosen(answer: str | None) -> None:
        if answer is None:
            return
        ident, place = answer.split("|")
        tool = tool_of(ident)
        title = f"{tool.label if tool is not None else ident}: for how long?"

        def timed(text: str | None) -> None:
            if text is not None and pane.here is not None:
                pane.wants(
                    pane.here.day.safety.enter_exposure,
                    ident,
                    text,
                    given={"indoors": place == "True"},
                    dated=True,
                )

        pane.app.push_screen(AskText(title, _HOW), timed)

    pane.app.push_screen(AskChoice("Which tool, and where?", "", choices), chosen)


__all__ = ["ADD_TIME", "ask_exposure", "exposure_rows", "exposure_saying"]
