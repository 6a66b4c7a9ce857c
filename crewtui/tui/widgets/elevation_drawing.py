"""A wall seen from inside, drawn in text: rows of characters with a role each, and no terminal in sight."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final, NamedTuple

from crewtui.trade.pictures.elevation import ElevationPicture, GapAlong, PlateOnWall
from crewtui.trade.vocabulary import AnchorWord
from crewtui.trade.wall.layout import Obstacle
from crewtui.tui.widgets.canvas import Canvas, Piece
from crewtui.units import MM_PER_IN, show_length

LEAST_COLUMNS: Final = 30
LEAST_ROWS: Final = 7
CELL_ASPECT: Final = 2.0
"""A cell is taken to be twice as high as wide."""
SIDE_COLUMNS: Final = 1
"""Left free beside each corner."""
LEAST_PLATE_COLUMNS: Final = 3
ROOMY_ROWS: Final = 12
"""From this height on the title stands over the wall and the legend under it."""

STATES: Final[Mapping[AnchorWord, tuple[str, str, str]]] = {
    "not begun": (" ", "plate", "open"),
    "under way": ("░", "under-way", "work"),
    "covered": ("▒", "wrong", "cov."),
    "closed": ("█", "done", "done"),
    "dropped": ("x", "label", "drop"),
}
"""By state: what fills the plate, its role, and the word under it."""


class ElevationScale(NamedTuple):
    """Where the wall lies on the grid; rows may be coarser than true to scale where room is short."""

    per_column_in: float
    per_row_in: float
    top_in: float
    top_row: int
    """Row of the wall's upper edge."""

    def column(self, along_in: float) -> int:
        """Return the column of a place along the wall."""
        return SIDE_COLUMNS + 1 + math.floor(along_in / self.per_column_in + 1e-9)

    def row(self, height_in: float) -> int:
        """Return the row of a height above the slab."""
        return self.top_row + 1 + math.floor((self.top_in - height_in) / self.per_row_in + 1e-9)


def scale_for(picture: ElevationPicture, columns: int, rows: int) -> ElevationScale:
    """Return the largest scale in round figures at which the wall fits; true both ways if rows allow."""
    step_in = 5.0 / MM_PER_IN if picture.system == "metric" else 0.25
    across = columns - 2 * SIDE_COLUMNS - 2
    top_row = 2 if rows >= ROOMY_ROWS else 1
    down = rows - top_row - 2 - (3 if rows >= ROOMY_ROWS else 2)

    def rounded(needed_in: float) -> float:
        return max(1, math.ceil(needed_in / step_in - 1e-9)) * step_in

    per_column_in = rounded(picture.length_in / across)
    true_in = per_column_in * CELL_ASPECT
    per_row_in = max(true_in, rounded(picture.slab_to_top_in / down))
    return ElevationScale(per_column_in, per_row_in, picture.slab_to_top_in, top_row)


def draw_elevation(picture: ElevationPicture, columns: int, rows: int) -> list[list[Piece]]:
    """Return the drawing as ``rows`` rows of pieces, each row ``columns`` wide."""
    if columns < LEAST_COLUMNS or rows < LEAST_ROWS:
        text = "The drawing needs more room."
        return [[Piece((text if row == 0 else "")[:columns].ljust(columns), "label")] for row in range(rows)]
    scale = scale_for(picture, columns, rows)
    canvas = Canvas(columns, rows)
    _Drawing(picture, scale, canvas).draw()
    return canvas.pieces()


class _Drawing:
    """One picture on one canvas."""

    def __init__(self, picture: ElevationPicture, scale: ElevationScale, canvas: Canvas) -> None:
        self.picture, self.scale, self.canvas = picture, scale, canvas
        self.left, self.right = SIDE_COLUMNS, scale.column(picture.length_in)
        self.top, self.slab = scale.top_row, max(scale.row(0.0), scale.top_row + 2)
        self.roomy = canvas.rows >= ROOMY_ROWS

    def draw(self) -> None:
        """Draw from the back to the front, labels last."""
        self._wall()
        self._beds()
        self._band()
        self._grade()
        for opening in self.picture.openings:
            self._opening(opening)
        for plate in self.picture.plates:
            self._planned_place(plate)
        for plate in self.picture.plates:
            self._plate(plate)
        self._gaps()
        self._labels()
        self._legend()

    def _wall(self) -> None:
        put = self.canvas.put
        for column in range(self.left, self.right + 1):
            put(column, self.top, "─", "wall")
            put(column, self.slab, "═", "wall")
        for row in range(self.top + 1, self.slab):
            put(self.left, row, "│", "wall")
            put(self.right, row, "│", "wall")
        put(self.left, self.top, "┌", "wall")
        put(self.right, self.top, "┐", "wall")

    def _inside(self, height_in: float) -> int | None:
        """Return the row of a height where it lies between top and slab."""
        row = self.scale.row(height_in)
        return row if self.top < row < self.slab else None

    def _beds(self) -> None:
        """Dot the bed joints, where they are farther apart than the rows."""
        heights = self.picture.beds_in
        apart_in = heights[0] - heights[1] if len(heights) > 1 else self.picture.slab_to_top_in
        if apart_in < self.scale.per_row_in:
            return
        for height_in in heights:
            row = self._inside(height_in)
            for column in range(self.left + 2, self.right, 4) if row is not None else ():
                self.canvas.put(column, row or 0, "_", "wall")

    def _band(self) -> None:
        if self.picture.band is None:
            return
        rows = {self._inside(height_in) for height_in in self.picture.band} - {None}
        for row in rows:
            for column in range(self.left + 1, self.right, 2):
                self.canvas.put(column, row or 0, "·", "band")

    def _grade(self) -> None:
        """Show outside grade as a tick on both corners: it cannot be seen from inside."""
        row = self._inside(self.picture.grade_in)
        if row is not None:
            self.canvas.put(self.left, row, "┤", "grade")
            self.canvas.put(self.right, row, "├", "grade")
            self.canvas.place([(self.left + 1, row)], "grade outside", "grade")

    def _opening(self, opening: Obstacle) -> None:
        scale, put = self.scale, self.canvas.put
        first, last = scale.column(opening.start_in), max(scale.column(opening.end_in - 1e-6), 0)
        top = max(self.top, scale.row(opening.top_in or self.picture.slab_to_top_in) - 1)
        foot = min(self.slab, max(scale.row(opening.bottom_in), top + 1))
        last = max(first + 1, last)
        for row in range(top + 1, foot):
            for column in range(first + 1, last):
                put(column, row, " ", "opening")
            put(first, row, "│", "opening")
            put(last, row, "│", "opening")
        for column in range(first + 1, last):
            put(column, top, "─", "opening")
            put(column, foot, "─", "opening")
        corners = ((first, top, "┌"), (last, top, "┐"), (first, foot, "└"), (last, foot, "┘"))
        for column, row, glyph in corners:
            put(column, row, glyph, "opening")
        inside = last - first - 1
        if foot - top > 1 and inside > 1:
            self.canvas.write(first + 1, (top + foot) // 2, opening.name[:inside], "opening")
        else:
            words, rows = opening.name, range(top + 1, foot) if foot - top > 1 else (top, foot)
            spots = [
                (column, row)
                for row in rows
                if self.top < row < self.slab
                for column in (last + 2, first - len(words) - 1)
                if self.left < column and column + len(words) < self.right
            ]
            self.canvas.place(spots, words, "opening")

    def _planned_place(self, plate: PlateOnWall) -> None:
        """Cross the place where the plan had an anchor that now stands elsewhere."""
        if plate.planned_along_in is None:
            return
        column = self.scale.column(plate.planned_along_in)
        if column != self.scale.column(plate.along_in):
            row = self._inside(plate.height_in)
            if row is not None and self.left < column < self.right:
                self.canvas.put(column, row, "+", "label")

    def _plate(self, plate: PlateOnWall) -> None:
        fill, role, _ = STATES[plate.state]
        if plate.wrong:
            role = "wrong"
        put = self.canvas.put
        columns = max(LEAST_PLATE_COLUMNS, round(plate.width_in / self.scale.per_column_in))
        columns += 1 - columns % 2
        middle = self.scale.column(plate.along_in)
        rows = max(1, round(plate.plate_height_in / self.scale.per_row_in))
        first_row = self.scale.row(plate.height_in) - rows // 2
        for row in range(first_row, first_row + rows):
            if not self.top < row < self.slab:
                continue
            put(middle - columns // 2, row, "[", role)
            put(middle + columns // 2, row, "]", role)
            for column in range(middle - columns // 2 + 1, middle + columns // 2):
                put(column, row, fill, role)
        if plate.state == "not begun" and self.top < self.scale.row(plate.height_in) < self.slab:
            put(middle, self.scale.row(plate.height_in), "+", role)

    def _gaps(self) -> None:
        """Write the distance between neighbors under the slab; one against a limit carries a word."""
        row = self.slab + 1
        for gap in self.picture.gaps:
            first, last = self.scale.column(gap.from_in), self.scale.column(gap.to_in)
            for words in self._gap_words(gap):
                if len(words) <= last - first - 1:
                    column = first + (last - first - len(words)) // 2 + 1
                    role = "label" if gap.verdict == "ok" else "wrong"
                    self.canvas.write(column, row, words, role)
                    break
        for plate in self.picture.plates:
            if plate.state != "dropped":
                self.canvas.write(self.scale.column(plate.along_in), row, "|", "label")

    def _gap_words(self, gap: GapAlong) -> list[str]:
        shown = show_length(gap.distance_in, self.picture.system)
        if gap.verdict == "ok":
            return [shown, shown.split()[0] if len(shown.split()) == 2 else "", ""]  # noqa: PLR2004 - number and unit
        return [f"! {shown} {gap.verdict}", f"! {gap.verdict}", "!"]

    def _labels(self) -> None:
        if self.roomy:
            self.canvas.write(self.left, 0, self.picture.title[: self.canvas.columns - 1], "title")
        for plate in self.picture.plates:
            _, role, word = STATES[plate.state]
            if plate.wrong:
                self._label(plate, self.top - 1, f"{plate.id}!", "wrong")
            else:
                self._label(plate, self.top - 1, plate.id, "title")
            self._label(plate, self.slab + 2, word, role)

    def _label(self, plate: PlateOnWall, row: int, words: str, role: str) -> None:
        """Write over or under a plate's middle, or as near to it as there is room."""
        at = self.scale.column(plate.along_in) - len(words) // 2
        column = max(0, min(at, self.canvas.columns - len(words)))
        self.canvas.place([(column, row), (column + 1, row), (column - 1, row)], words, role)

    def _legend(self) -> None:
        if not self.roomy:
            return
        scale, system = self.scale, self.picture.system
        column, row = show_length(scale.per_column_in, system), show_length(scale.per_row_in, system)
        items = [(f"1 column = {column}, 1 row = {row}", "label")]
        if self.picture.band is not None:
            items.append(("· band for marks", "band"))
        moved = any(
            plate.planned_along_in is not None
            and scale.column(plate.planned_along_in) != scale.column(plate.along_in)
            for plate in self.picture.plates
        )
        if moved:
            items.append(("+ as planned", "label"))
        if any(plate.wrong for plate in self.picture.plates):
            items.append(("! see its row", "wrong"))
        at, last_row = 0, self.canvas.rows - 1
        for words, role in items:
            if at + len(words) <= self.canvas.columns:
                self.canvas.write(at, last_row, words, role)
                at += len(words) + 2


__all__ = ["draw_elevation", "scale_for"]
