"""A job that has no file yet: what it needs is asked in the order of a proposal; what is typed is kept."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import ClassVar, Final

import tomli
import tomli_w
from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Static

from crewtui.disk.own_files import write_whole
from crewtui.job.file.asked_job import (
    MOST_WALLS,
    WALLS,
    AskedLine,
    lines,
    made,
    missing,
    system_of,
    walls_of,
    wrong_with,
)
from crewtui.job.file.problems import nearest
from crewtui.job.file.short_job import job_text
from crewtui.tui.app.looks import LOOKS, SUN, THEMES, words_of
from crewtui.tui.widgets.chrome import KeyBar, Saying, SayingView
from crewtui.tui.widgets.rows import Row, RowList

_MORE: Final = "more walls"
_MADE: Final = "make it"
_HEAD: Final = (
    "Written from what was asked on the laptop. The engineer's plan governs: hold every figure against it.",
    "Lines, openings, footings and the ticket are listed on the day's screen (<), or here.",
)


def draft_of(job_path: Path) -> Path:
    """Return where half-filled answers are kept until the job file is written."""
    return job_path.with_name(f"{job_path.stem}.answers")


class NewJobPage(Screen[bool]):
    """Every question as a line to type on; Enter keeps it on the disk and goes on to the next."""

    DEFAULT_CSS = """
    NewJobPage { background: $paper; color: $ink; }
    NewJobPage .title { background: $band; text-style: bold; padding: 0 1; }
    NewJobPage RowList { height: 1fr; }
    NewJobPage SayingView { height: 4; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q", "leave", show=False),
        Binding("l", "app.look", show=False),
    ]

    def __init__(self, job_path: Path, *, today: date) -> None:
        super().__init__()
        self.job_path, self._today = job_path, today
        self.texts = self._kept()
        self.wrong = ""
        there = [other.name for other in job_path.parent.glob("*.toml")]
        self._near = nearest(job_path.name, there) or ""

    def _kept(self) -> dict[str, str]:
        """Return what was answered before the program was last closed; nothing where that cannot be read."""
        try:
            table = tomli.loads(draft_of(self.job_path).read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return {"units": "imperial"}
        return {key: text for key, text in table.items() if isinstance(text, str)}

    def compose(self) -> ComposeResult:
        """Lay out the page."""
        title = f"A new job: {self.job_path.name}. Take every figure from the engineer's plan."
        yield Static(title, classes="title", markup=False)
        yield RowList()
        yield SayingView()
        bar = KeyBar()
        bar.items = (("0-9 a-z", "type"), ("Enter", "keep it, next"), ("Esc", "leave; all is kept"))
        yield bar

    def on_mount(self) -> None:
        """Stand on the first thing that is still needed."""
        self._show()
        self.set_focus(self.query_one(RowList))
        self._to_next()

    def _show(self, *, cursor: str | None = None) -> None:
        rows: list[Row] = []
        part = ""
        system = system_of(self.texts)
        lacking = {line.key for line in missing(self.texts, self._today)}
        for line in lines(self.texts):
            if line.part != part:
                if part.startswith("WALL") and not line.part.startswith("WALL"):
                    rows.append(Row(key=_MORE, label="One more wall", note="Enter"))
                part = line.part
                rows.append(Row(key=f"part {part}", label=part, heading=True))
            rows.append(self._row(line, lacks=line.key in lacking, metric=system == "metric"))
        ready = not lacking
        note = "Enter writes it and opens the day" if ready else f"{len(lacking)} still to be given"
        rows += [
            Row(key="part made", label="THE JOB FILE", heading=True),
            Row(key=_MADE, label=f"Write {self.job_path.name}", mark="next" if ready else "", note=note,
                tone="coming" if ready else "quiet"),
        ]  # fmt: skip
        self.query_one(RowList).set_rows(rows, cursor=cursor)
        self._say()

    def _row(self, line: AskedLine, *, lacks: bool, metric: bool) -> Row:
        units = {"length": "mm", "torque": "N·m"} if metric else {"length": "in", "torque": "lbf·ft"}
        text = self.texts.get(line.key, "")
        return Row(
            key=line.key,
            label=line.label,
            mark="ask" if lacks else "done" if text else "",
            tone="coming" if lacks else "done" if text else "quiet",
            value=text,
            hint="" if line.needed else "may stay empty",
            note=units.get(line.kind, ""),
            typed=True,
            free_text=True,
        )

    def _line(self, key: str) -> AskedLine | None:
        return next((line for line in lines(self.texts) if line.key == key), None)

    def _say(self) -> None:
        row = self.query_one(RowList).cursor_row
        line = self._line(row.key) if row is not None else None
        said = [("held", self.wrong)] if self.wrong else []
        if self._near and not said:
            said = [
                ("deviation", f"There is no {self.job_path.name} yet. Did you mean {self._near}? Esc leaves.")
            ]
        if line is not None:
            said.append(("plain", f"{line.label}: {line.words}"))
        elif row is not None and row.key == _MADE:
            said.append(("plain", "The day works with what stands here; the office can mend the file later."))
        self.query_one(SayingView).saying = Saying(lines=tuple(said))

    def _to_next(self) -> None:
        lacks = missing(self.texts, self._today)
        self.query_one(RowList).go_to(lacks[0].key if lacks else _MADE)

    def on_row_list_cursor_moved(self) -> None:
        """Say what the row asks."""
        self.wrong = ""
        self._say()

    def on_row_list_typed(self) -> None:
        """Forget the last refusal."""
        self.wrong = ""
        self._say()

    def on_row_list_entered(self, message: RowList.Entered) -> None:
        """Keep an answer and go on to the next line."""
        message.stop()
        line = self._line(message.key)
        if line is None:
            return
        self.wrong = wrong_with(line, message.text, system_of(self.texts), self._today)
        if self.wrong:
            self._say()
            return
        self._near = ""
        self._keep({**self.texts, message.key: message.text.strip()})
        message.rows.clear_draft(message.key)
        keys = [one.key for one in lines(self.texts)]
        after = keys[keys.index(message.key) + 1 :]
        self._show(cursor=after[0] if after else _MADE)

    def _keep(self, texts: Mapping[str, str]) -> None:
        self.texts = dict(texts)
        try:
            write_whole(draft_of(self.job_path), tomli_w.dumps(self.texts).encode())
        except OSError as error:
            self.wrong = f"NOT SAVED: {error.strerror or error}. What is typed stays here."

    def on_row_list_chosen(self, message: RowList.Chosen) -> None:
        """Add a wall, write the job, or go on."""
        message.stop()
        if message.key == _MORE:
            count = min(MOST_WALLS, walls_of(self.texts) + 1)
            self._keep({**self.texts, WALLS: str(count)})
            self._show(cursor=f"wall {count} name")
        elif message.key == _MADE:
            self._make()
        else:
            message.rows.action_move(1)

    def _make(self) -> None:
        try:
            job = made(self.texts, self._today)
            write_whole(self.job_path, job_text(job, head=_HEAD).encode())
        except ValueError as error:
            self.wrong = str(error)
            self._to_next()
            self.wrong = str(error)
            self._say()
            return
        except OSError as error:
            self.wrong = f"NOT SAVED: {error.strerror or error}."
            self._say()
            return
        draft_of(self.job_path).unlink(missing_ok=True)
        self.app.exit(True)

    def action_leave(self) -> None:
        """Leave; what was entered is on the disk."""
        self.app.exit(False)


class NewJobApp(App[bool]):
    """Only the page: whether a job file was written."""

    TITLE = "crewtui"
    ENABLE_COMMAND_PALETTE = False

    def __init__(self, job_path: Path, *, today: date, look: str = SUN) -> None:
        super().__init__()
        self._page = NewJobPage(job_path, today=today)
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = look if look in LOOKS else SUN

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Name our colors to every style sheet."""
        return words_of(SUN)

    def on_mount(self) -> None:
        """Show the page."""
        self.push_screen(self._page)

    def action_look(self) -> None:
        """Go to the next look."""
        names = list(LOOKS)
        self.theme = names[(names.index(self.theme) + 1) % len(names)]


def ask_new_job(job_path: Path, *, today: date, look: str) -> bool:
    """Ask for a job on the screen; return whether its file was written."""
    return bool(NewJobApp(job_path, today=today, look=look).run(mouse=False))


__all__ = ["NewJobApp", "NewJobPage", "ask_new_job", "draft_of"]
