"""What a job does not say itself: taken from the anchor's wall, then from the company's file.

For an anchor the stair is company, wall, anchor; for all other tables company, job: the nearer goes before.
What comes out is a job that says everything itself, as the models read it, with where each value stands.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from msgspec import Struct

from crewtui.job.file.bare_numbers import with_units
from crewtui.job.file.company_file import LISTS, TABLES
from crewtui.job.file.places import Moved
from crewtui.job.file.problems import Problem, path_of

EACH: Final = "each"
"""Key of ``[walls.anchors]`` under which the wall's anchors may stand, one a line."""
OWN: Final = ("id", "wall", "along")
"""What every anchor has for itself."""
_ONE_OF: Final = (("drop", "yard_slope"),)
"""Keys that say the same: an anchor's own stands in for the other from further up."""

_OF_COMPANY: Final = "company.anchors"

Table = dict[str, Any]


class Composed(Struct, frozen=True):
    """A job as the models read it."""

    table: Table
    moved: Mapping[str, Moved]
    problems: tuple[Problem, ...]
    shared: Mapping[str, Table]
    """By key: what the anchors of each wall, and those of the company, share."""


def compose(own: Mapping[str, Any], company: Mapping[str, Any], *, file: str, company_file: str) -> Composed:
    """Return the job's table with what it takes from its walls and from the company's file."""
    work = _Composing(dict(own), file)
    if company_file:
        work.take_company(company)
    work.take_walls()
    return Composed(work.table, work.moved, tuple(work.problems), work.shared)


class _Composing:
    """The table as it grows, and where what was added stands."""

    def __init__(self, table: Table, file: str) -> None:
        self.table, self._file = table, file
        self.moved: dict[str, Moved] = {}
        self.problems: list[Problem] = []
        self.shared: dict[str, Table] = {}
        self._shared: Table = {}

    def take_company(self, company: Mapping[str, Any]) -> None:
        """Take what the job does not say itself from the company's file, read in that file's own unit."""
        card = company.get("company", {})
        job = self.table.get("job")
        theirs = card.get("units", "imperial")
        ours = job.get("units", theirs) if isinstance(job, dict) else theirs
        if ours != theirs:
            company = with_units(company, theirs)
        self._shared = company.get("anchors", {})
        self.shared[_OF_COMPANY] = self._shared
        self.moved[_OF_COMPANY] = Moved("anchors", company=True)
        if isinstance(job, dict):
            given = {"company": card.get("name"), "units": theirs}
            taken = {key: value for key, value in given.items() if value is not None and key not in job}
            self.table["job"] = {**job, **taken}
            for key in taken:
                self.moved[f"job.{key}"] = Moved(
                    "company.name" if key == "company" else "company.units", company=True
                )
        for name in TABLES:
            if name != "anchors":
                self._take_keys(name, company.get(name, {}))
        for name, key in LISTS.items():
            self._take_items(name, key, company.get(name, []))

    def _take_keys(self, name: str, theirs: Mapping[str, Any]) -> None:
        ours = self.table.get(name, {})
        if not theirs or not isinstance(ours, dict):
            return
        self.table[name] = {**theirs, **ours}
        for key in theirs:
            if key not in ours:
                place = path_of((name, key))
                self.moved[place] = Moved(place, company=True)

    def _take_items(self, name: str, key: str, theirs: list[Any]) -> None:
        ours = self.table.get(name, [])
        if not theirs or not isinstance(ours, list):
            return
        said = {str(row.get(key)).casefold() for row in ours if isinstance(row, dict)}
        kept = [
            (place, row)
            for place, row in enumerate(theirs)
            if name == "hazards" or not isinstance(row, dict) or str(row.get(key)).casefold() not in said
        ]
        self.table[name] = [*(row for _, row in kept), *ours]
        for now, (place, _) in enumerate(kept):
            self.moved[f"{name}[{now}]"] = Moved(f"{name}[{place}]", company=True)
        for place in range(len(ours)):
            self.moved[f"{name}[{len(kept) + place}]"] = Moved(f"{name}[{place}]")

    def take_walls(self) -> None:
        """Give every anchor what its wall and the company say of all of them."""
        walls = self.table.get("walls")
        rows = self.table.get("anchors", [])
        if not isinstance(walls, list) or not isinstance(rows, list):
            return
        anchors: list[Any] = [*rows]
        by_wall: dict[Any, tuple[Table, str]] = {}
        self.table["walls"] = [
            {key: value for key, value in wall.items() if key != "anchors"}
            if isinstance(wall, dict)
            else wall
            for wall in walls
        ]
        for place, wall in enumerate(walls):
            if not isinstance(wall, dict) or "anchors" not in wall:
                continue
            at = f"walls[{place}].anchors"
            shared = self._shared_of(wall["anchors"], at)
            self.shared[at] = {key: part for key, part in shared.items() if key not in {EACH, *OWN}}
            by_wall[wall.get("name")] = (self.shared[at], at)
            for number, row in enumerate(self._each_of(shared, at)):
                self.moved[f"anchors[{len(anchors)}]"] = Moved(f"{at}.{EACH}[{number}]")
                own = {"wall": wall.get("name"), **row} if isinstance(row, dict) else row
                anchors.append(own)
        if anchors or by_wall:
            self.table["anchors"] = [
                self._with_shared(row, place, by_wall) for place, row in enumerate(anchors)
            ]

    def _shared_of(self, shared: Any, at: str) -> Table:
        if isinstance(shared, dict):
            return shared
        message = (
            "Write [walls.anchors] once below its wall, with what all of its anchors have; each anchor stands"
            " under [[anchors]], or in each = [{ id = ..., along = ... }, ...]."
        )
        self._wrong(at, message)
        return {}

    def _each_of(self, shared: Table, at: str) -> list[Any]:
        for key in OWN:
            if key in shared:
                self._wrong(f"{at}.{key}", f"{key} belongs to each anchor by itself, not to all of a wall.")
        each = shared.get(EACH, [])
        if isinstance(each, list):
            return each
        self._wrong(f"{at}.{EACH}", "each is a list of tables: [{ id = ..., along = ... }, ...].")
        return []

    def _with_shared(self, row: Any, place: int, by_wall: Mapping[Any, tuple[Table, str]]) -> Any:
        if not isinstance(row, dict):
            return row
        wall = row.get("wall")
        of_wall, at = by_wall.get(wall, ({}, "")) if isinstance(wall, str) else ({}, "")
        whole = dict(row)
        for shared, table, company in ((of_wall, at, False), (self._shared, "anchors", True)):
            for key, value in tuple(_lacking(whole, shared)):
                whole[key] = value
                moved = Moved(f"{table}.{path_of((key,))}", company, shared=True)
                self.moved[path_of(("anchors", place, key))] = moved
        return whole

    def _wrong(self, key: str, message: str) -> None:
        self.problems.append(Problem(file=self._file, key=key, message=message))


def _lacking(row: Mapping[str, Any], shared: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Yield what the shared table has and the anchor does not, nor anything that says the same."""
    said = {*row, *OWN}
    for pair in _ONE_OF:
        if said.intersection(pair):
            said.update(pair)
    for key, value in shared.items():
        if key not in said:
            yield key, value
