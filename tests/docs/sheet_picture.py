"""Write the picture of the owner's sheet for the docs, as a browser shows the first page of a finished day.

    python tests/docs/sheet_picture.py docs/pictures/owner-sheet.png

The day is the block sample, played to its end; the house and all names are invented.
"""

# ruff: noqa: T201, E402 - a script that prints, and finds the tests it borrows from

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[1] / "tui")]

from day_help import clear_hazards
from gallery import GOOD, enter_step, half_done

from crewtui import cli
from crewtui.day.session.day import Day
from crewtui.day.steps.outcomes import NeedsChoice, NeedsReason, Outcome, Saved
from crewtui.record.signed.hand_in import hand_in
from crewtui.record.signed.signing_keys import SigningKey

KEY = SigningKey.from_secret(bytes(range(32)), name="Sam Sample")
ANCHORS = ("N1", "N2", "N3", "N4", "N5")
ENTERED = GOOD | {"backfilled": "9"}
WIDE, HIGH = 900, 1_180


def finish(day: Day) -> None:
    """Answer what is asked of the day itself."""
    for scope in ("before", "after"):
        for row in day.rows(None, scope=scope):  # type: ignore[arg-type]
            if row.answered or row.mark == "not needed":
                continue
            text = {"choice": row.choices[-1] if row.choices else "", "check": "yes", "text": "PS KS LS SS"}
            method = day.measure if row.kind == "value" else day.answer
            outcome: Outcome = method(None, row.id, "4 1/4" if row.kind == "value" else text[row.kind])
            if isinstance(outcome, NeedsReason | NeedsChoice):
                outcome = method(None, row.id, text.get(row.kind, "yes"), reason="as the office said")
            if not isinstance(outcome, Saved):
                print(f"left open: {row.label}: {outcome}")


def main(out: Path) -> None:
    """Play the day, write its sheet, and have a browser show it."""
    browser = shutil.which("chromium") or shutil.which("chrome")
    if browser is None:
        raise SystemExit("no browser found: install chromium")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        with half_done(folder, upto=()) as day:
            clear_hazards(day)
            day.ground.expose_line("gas service", "20", anchor="N4")
            for anchor in ANCHORS:
                for step in day.steps_of("anchor"):
                    enter_step(day, anchor, step.id, ENTERED.get(step.id, "yes"), lambda _: None)
            for finding in day.walls.standing_findings():
                day.walls.answer_finding(finding.id, name="R. Sample, P.E.", reason="by the sheet, rev. B")
            finish(day)
            record = hand_in(day, KEY, lead="Sam Sample").path
        page = folder / "sheet.html"
        cli.run(["sheet", str(record), "--out", str(page)])
        subprocess.run(
            [browser, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars",
             "--disable-background-networking", "--no-first-run", f"--user-data-dir={folder / 'browser'}",
             f"--screenshot={out.resolve()}", f"--window-size={WIDE},{HIGH}", page.as_uri()],
            check=True, capture_output=True,
        )  # fmt: skip
    print(f"Written: {out}")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
