"""The table of hazards in ``docs/safety.md``, from their data file, so that page and program agree.

``python tests/docs/safety_page.py docs`` writes it anew between its two marks; a test keeps it fresh.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from crewtui.job.tables.hazards import Hazard, load

PAGE: Final = "safety.md"
BEGINS: Final = "<!-- hazards: made from the program -->"
ENDS: Final = "<!-- end of hazards -->"


def table() -> str:
    """Return the hazards, group by group, in the order in which they are met."""
    return "\n".join(_lines()) + "\n"


def _lines() -> Iterator[str]:
    group = ""
    for hazard in load():
        if hazard.group != group:
            group = hazard.group
            yield ""
            yield f"### {group.capitalize()}"
            yield ""
            yield "| what must be true | when | holds | released by | set aside | source | mark |"
            yield "|---|---|---|---|---|---|---|"
        yield _row(hazard)
    yield ""


def _row(hazard: Hazard) -> str:
    holds = ", ".join(hazard.holds) or "nothing: a warning"
    if hazard.holds_when:
        holds += f"; else a warning ({hazard.holds_when})"
    released = "a name" if hazard.release == "name" else "initials"
    if hazard.of_the_pit:
        released += ", once the pit is begun"
    cells = (
        f"`{hazard.id}`: {hazard.text}",
        f"{hazard.when or 'always'}, once {'a job' if hazard.scope == 'job' else 'an anchor'}",
        holds,
        released,
        hazard.override,
        hazard.source,
        hazard.mark,
    )
    return "| " + " | ".join(cells) + " |"


def page(text: str) -> str:
    """Return the page with its table as the program has it now; ValueError where the marks are missing."""
    if text.count(BEGINS) != 1 or text.count(ENDS) != 1:
        raise ValueError(f"The page needs {BEGINS} and {ENDS} once each.")
    head, rest = text.split(BEGINS)
    return f"{head}{BEGINS}\n{table()}{ENDS}{rest.split(ENDS)[1]}"


def write(folder: Path) -> None:
    """Write the table anew."""
    path = folder / PAGE
    path.write_bytes(page(path.read_text(encoding="utf-8")).encode("utf-8"))


if __name__ == "__main__":
    write(Path(sys.argv[1]))
