"""Completing the day: what is open, what deviates, and signing the record."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual.message import Message

from crewtui.tui.keys.commands import PaneName, key_item
from crewtui.tui.widgets.chrome import Saying
from crewtui.tui.widgets.dialogs import AskText
from crewtui.tui.widgets.pane import NOTHING_HERE, Here, Pane
from crewtui.tui.widgets.rows import Row
from crewtui.units import count_of

if TYPE_CHECKING:
    from crewtui.day.session.day import Day
    from crewtui.record.signed.hand_in import Preview

SIGN, DRAFT = "sign", "draft"
_OPEN, _DEVIATION = "open ", "deviation "


def _open_words(day: Day, ident: str, steps: Sequence[str]) -> str:
    """Return which steps are open, by name where the anchor was begun."""
    if ident and day.state.anchors[ident].first_at is None:
        return "not begun"
    return "; ".join(steps)


class RecordPane(Pane):
    """What the lead is about to sign, line by line; the last line signs."""

    pane: ClassVar[PaneName] = "record"

    class WantsToSign(Message):
        """The lead wants to sign the day as it stands."""

        def __init__(self, seen: Preview) -> None:
            self.seen = seen
            super().__init__()

    class WantsDraft(Message):
        """The lead wants the owner's sheet as the day stands, marked as a draft."""

    def __init__(self) -> None:
        super().__init__()
        self.seen: Preview | None = None

    def rebuild(self, here: Here) -> None:
        """Show what is open, every deviation, and the line that signs."""
        from crewtui.record.house.page_paths import draft_path  # noqa: PLC0415 - not needed for the first screen
        from crewtui.record.signed.hand_in import preview  # noqa: PLC0415 - the same

        self.here = here
        day, seen = here.day, preview(here.day)
        self.seen = seen
        rows = [Row(key="title", label="WHAT WILL BE SIGNED", heading=True)]
        rows += [Row(key=f"words {n}", label=text, still=True) for n, text in enumerate(seen.words)]
        rows.append(Row(key="title open", label="STILL OPEN", heading=True))
        still = [(ident, steps) for ident, steps in seen.progress.open_steps.items() if steps]
        rows += [
            Row(
                key=_OPEN + ident,
                label=ident or "The day",
                mark="open",
                tone="coming",
                value=count_of(len(steps), "step"),
                note=_open_words(day, ident, steps),
            )
            for ident, steps in still
        ] or [Row(key="nothing open", label="Nothing is open", mark="done", tone="done")]
        rows.append(Row(key="title dev", label="DEVIATIONS", heading=True))
        for item in seen.deviations:
            accepted = day.state.shared.accepted.get(item.n)
            where = f"{item.anchor}: " if item.anchor else ""
            where += f"{day.wording.label(item.step)}: " if item.step else ""
            rows.append(
                Row(
                    key=f"{_DEVIATION}{item.n}",
                    label=where + item.text,
                    mark="done" if accepted else "!",
                    tone="done" if accepted else "deviation",
                    note=f"accepted by {accepted}" if accepted else item.reason,
                )
            )
        if not seen.deviations:
            rows.append(Row(key="no deviations", label="None", mark="done", tone="done"))
        rows.append(Row(key="title owner", label="HOW EACH ANCHOR CAME OUT", heading=True))
        rows += [Row(key=f"account {n}", label=words) for n, words in enumerate(seen.accounts)]
        rows.append(
            Row(
                key=DRAFT,
                label="Write the owner's sheet, a draft",
                tone="coming",
                note=f"writes {draft_path(day.job_path).name}, to print and leave",
            )
        )
        rows.append(Row(key="title sign", label="THE RECORD", heading=True))
        kind = "complete" if seen.complete else "PARTIAL"
        label = f"Sign the {kind} record" + (f", revision {seen.revision}" if seen.revision > 1 else "")
        rows.append(Row(key=SIGN, label=label, mark="next", tone="coming", note=f"writes {seen.path.name}"))
        self.set_rows(rows)

    def saying(self) -> Saying:
        """Say what the row under the cursor means."""
        row = self.cursor_row
        if row is None:
            return Saying()
        if row.key == SIGN:
            words = "Enter signs with your key. It says what you entered; it is no test of the anchors."
            return Saying(lines=(("plain", words),))
        if row.key == DRAFT:
            words = "Enter writes it beside the job file, marked as a draft; signing writes the final one."
            return Saying(lines=(("plain", words),))
        said = [("plain", row.label), ("quiet", row.note)]
        if row.key.startswith(_DEVIATION) and row.mark == "!":
            said.append(("coming", "Enter: somebody named accepts it."))
        return Saying(lines=tuple((tone, words) for tone, words in said if words))

    def does(self) -> str:
        """Return what Enter does."""
        key = self.cursor_key
        if key.startswith(_OPEN):
            return f"go to {key.removeprefix(_OPEN) or 'the day'}"
        return "sign" if key == SIGN else "somebody accepts it" if key.startswith(_DEVIATION) else ""

    def more_keys(self) -> tuple[tuple[str, str], ...]:
        """Return what else can be done."""
        return (key_item("log"), key_item("find"))

    def chosen(self, key: str) -> None:
        """Sign, write the draft, go to what is open, or have a deviation accepted."""
        if key == SIGN and self.seen is not None:
            self.post_message(self.WantsToSign(self.seen))
        elif key == DRAFT:
            self.post_message(self.WantsDraft())
        elif key.startswith(_OPEN):
            ident = key.removeprefix(_OPEN)
            self.post_message(self.Goes(anchor=ident, pane="steps") if ident else self.Goes(pane="day"))
        elif key.startswith(_DEVIATION):
            self._accept(int(key.removeprefix(_DEVIATION)))
        else:
            self.refuses(NOTHING_HERE)

    def _accept(self, n: int) -> None:
        def named(name: str | None) -> None:
            if name is None:
                return

            def why(reason: str | None) -> None:
                if reason is not None and self.here is not None:
                    self.wants(
                        self.here.day.safety.accept_deviation, n, given={"name": name, "reason": reason}
                    )

            self.app.push_screen(AskText("On what grounds?"), why)

        self.app.push_screen(
            AskText("Who accepts it? A name", "The engineer or the office, as the plan says."), named
        )
