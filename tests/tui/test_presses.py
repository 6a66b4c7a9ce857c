"""How many keys a trouble-free anchor takes, pressed one by one on the block sample: an upper bound."""

from __future__ import annotations

from typing import Final

from textual.pilot import Pilot

from crewtui.tui.app.application import CrewApp
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.widgets.dialogs import AskChoice, AskText

MOST_ON_STEPS: Final = 50
"""Fourteen of them read the wall at three heights; without that it would be 34."""
_TYPED: Final = {
    "watch-mark": "0", "depth-found": "41", "side-offset": "0", "threads": "6", "pull-in": "1/8",
    "second-pull-in": "0",
}  # fmt: skip
"""What only the rod, the wall or the wrench can tell; all else equals the plan on a trouble-free day."""
READ: Final = ("6", "5 1/2", "6")
"""From the line to the wall, at the three heights that are proposed."""
_KEY_OF: Final = {"/": "slash", " ": "space", ".": "full_stop"}


async def _enter_next(pilot: Pilot[int], screen: DayScreen) -> int:
    """Enter the step that is next as a hand would; return how many keys that took."""
    pane = screen.steps_pane
    step = pane.step_at(pane.cursor_key)
    assert step is not None
    assert not step.holds, step.hold
    typed = _TYPED.get(step.id)
    if step.id == "readings":
        keys = [
            "enter",
            *(key for one in READ for key in (*(_KEY_OF.get(sign, sign) for sign in one), "enter")),
            "enter",
        ]
    elif typed is not None:
        keys = [*(_KEY_OF.get(sign, sign) for sign in typed), "enter"]
    else:
        keys = ["equals_sign"] if pane.card is not None and pane.card.as_planned else ["enter"]
    await pilot.press(*keys)
    await pilot.pause()
    presses = len(keys)
    if isinstance(pilot.app.screen, AskChoice):  # The wrench clicked: its first answer.
        await pilot.press("enter")
        await pilot.pause()
        presses += 1
    assert pilot.app.screen is screen, pilot.app.screen
    assert screen.day.rows(screen.anchor_id)[[r.id for r in pane.steps].index(step.id)].answered, screen.wrong
    return presses


async def test_a_trouble_free_anchor_takes_few_keys(app: CrewApp) -> None:
    day = app.day
    async with app.run_test(size=(80, 24)) as pilot:
        screen = next(one for one in app.screen_stack if isinstance(one, DayScreen))
        screen.go(anchor="N1", pane="steps")
        screen.steps_pane.go_to_next()
        presses, entered = 0, 0
        while (upcoming := day.next_step("N1")) is not None:
            for hold in upcoming.holds:  # What holds is seen to elsewhere: it is no part of the steps.
                day.safety.release_hold(hold.id, "N1", initials="PS")
                day.safety.override_hold(hold.id, "N1", name="Pat Sample", reason="seen to")
            if day.next_step("N1").holds:  # type: ignore[union-attr]
                answered = day.safety.answer_pit_entry("N1", somebody=False)
                assert answered
            screen.rebuild()
            screen.steps_pane.go_to(upcoming.id, quietly=True)
            presses += await _enter_next(pilot, screen)
            entered += 1
        assert entered >= 24
        assert presses <= MOST_ON_STEPS
        assert not isinstance(app.screen, AskText)
        print(f"{presses} keys for {entered} steps")  # noqa: T201 - the count that the docs record
