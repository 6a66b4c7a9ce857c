"""The section drawn in text, to scale: rows of characters with a role each, and no terminal in sight."""

from __future__ import annotations

import math
from typing import Final, NamedTuple

from crewtui.trade.pictures.section import LineInSection, Point, SectionPicture, Stroke
from crewtui.tui.widgets.canvas import Canvas, Pen, Piece
from crewtui.units import MM_PER_IN, show_length

LEAST_COLUMNS: Final = 20
LEAST_ROWS: Final = 5
CELL_ASPECT: Final = 2.0
"""A cell is taken to be twice as high as wide: one row stands for twice the inches of one column."""
NARROW_COLUMNS: Final = 60
"""Below this width the rod's tail is cut short in the drawing."""
NARROW_ROOM_IN: Final = 40.0
STRETCHED_ROOM_IN: Final = 16.0
"""So much of the room is drawn where heights are stretched: the rod's way in is seen, no more."""
STRETCHED_EDGE_IN: Final = 3.0
"""Over and under what is drawn there."""
ROOMY_ROWS: Final = 12
"""From this height on the legend may take a second row."""

ROD: Final = Pen("▀▄", "rod")
RAN: Final = Pen("‾─_", "ran", (True, True, True, False))
WINDOW: Final = Pen("'·.", "window", (True, False))
GROUND: Final = Pen("‾─_", "ground")
GROUND_UNKNOWN: Final = Pen("‾─_", "ground", (True, True, False, False))
FROST: Final = Pen("*", "frost", (True, False, False, False))
LINE_BESIDE: Final = Pen("o", "line", (True, False, False))
LINE_BESIDE_HELD: Final = Pen("■", "line-held", (True, False, False))
WALL_FILL: Final = {"poured concrete": "▒", "block": "▒", "clay tile": "░"}

LEGEND: Final = (
    ("rod", "▀▄ rod"),
    ("line-asked", "? depth to be found"),
    ("line-held", "■ line that holds"),
    ("ran", "─── ran"),
    ("window", "· · least, greatest"),
    ("plate", "█ plate"),
    ("frost", "* frost"),
    ("line", "o line"),
)


class SectionScale(NamedTuple):
    """Where the picture lies on the grid."""

    left_in: float
    top_in: float
    per_column_in: float
    per_row_in: float

    @property
    def stretched(self) -> bool:
        """Whether heights are drawn taller than lengths."""
        return self.per_row_in < self.per_column_in * CELL_ASPECT

    def spot(self, point: Point) -> tuple[float, float]:
        """Return column and row of a point, with their fractions."""
        return (point[0] - self.left_in) / self.per_column_in, (point[1] - self.top_in) / self.per_row_in

    def column(self, x_in: float) -> int:
        """Return the column of a place."""
        return math.floor((x_in - self.left_in) / self.per_column_in)

    def row(self, y_in: float) -> int:
        """Return the row of a depth."""
        return math.floor((y_in - self.top_in) / self.per_row_in)


def scale_for(picture: SectionPicture, columns: int, rows: int) -> SectionScale:
    """Return the largest scale in round figures at which the picture fits that grid, the same both ways."""
    left_in = picture.left_in
    if columns < NARROW_COLUMNS:
        left_in = max(left_in, -picture.wall.way_in - NARROW_ROOM_IN)
    width_in, height_in = picture.right_in - left_in, picture.bottom_in - picture.top_in
    needed_in = max(width_in / columns, height_in / rows / CELL_ASPECT)
    step_in = 5.0 / MM_PER_IN if picture.system == "metric" else 0.25
    per_column_in = max(1, math.ceil(needed_in / step_in - 1e-9)) * step_in
    spare_in = rows * per_column_in * CELL_ASPECT - height_in
    return SectionScale(left_in, picture.top_in - spare_in / 2, per_column_in, per_column_in * CELL_ASPECT)


def stretched_scale_for(picture: SectionPicture, columns: int, rows: int) -> SectionScale:
    """Return a scale that shows where rods run, heights drawn taller than lengths; no room, no sky."""
    strokes = [picture.rod, picture.least, picture.greatest, *picture.ran]
    heights = [y for one in strokes if one is not None for _, y in (one.start, one.end)]
    heights += [*(picture.plate or ()), picture.mark[1]]
    left_in = -picture.wall.way_in - STRETCHED_ROOM_IN
    step_in = 5.0 / MM_PER_IN if picture.system == "metric" else 0.25
    wide_in, high_in = picture.right_in - left_in, max(heights) - min(heights) + 2 * STRETCHED_EDGE_IN
    per_column_in, per_row_in = (
        max(1, math.ceil(needed_in / step_in - 1e-9)) * step_in
        for needed_in in (wide_in / columns, high_in / rows)
    )
    spare_in = rows * per_row_in - high_in
    top_in = min(heights) - STRETCHED_EDGE_IN - spare_in / 2
    return SectionScale(left_in, top_in, per_column_in, min(per_row_in, per_column_in * CELL_ASPECT))


def draw_section(
    picture: SectionPicture, columns: int, rows: int, *, stretched: bool = False
) -> list[list[Piece]]:
    """Return the drawing as ``rows`` rows of pieces, each row ``columns`` wide; ``stretched`` in height."""
    if columns < LEAST_COLUMNS or rows < LEAST_ROWS:
        return _too_small(columns, rows)
    fitting = stretched_scale_for if stretched else scale_for
    legend_rows = 1
    scale = fitting(picture, columns, rows - legend_rows)
    legend = _legend(picture, scale, columns, 1 if rows < ROOMY_ROWS else 2)
    if len(legend) > legend_rows:
        scale = fitting(picture, columns, rows - len(legend))
        legend = _legend(picture, scale, columns, len(legend))
    canvas = Canvas(columns, rows - len(legend))
    _Drawing(picture, scale, canvas).draw()
    return [*canvas.pieces(), *legend]


def _too_small(columns: int, rows: int) -> list[list[Piece]]:
    text = "The drawing needs more room."
    return [[Piece((text if row == 0 else "")[:columns].ljust(columns), "label")] for row in range(rows)]


def _scale_words(picture: SectionPicture, scale: SectionScale, columns: int) -> str:
    column, row = (show_length(size, picture.system) for size in (scale.per_column_in, scale.per_row_in))
    words = f"1 column = {column}, 1 row = {row}"
    words += ", heights drawn taller" if scale.stretched else ""
    return words if len(words) <= columns else f"column {column}, row {row}"[:columns]


def _legend(picture: SectionPicture, scale: SectionScale, columns: int, most_rows: int) -> list[list[Piece]]:
    """Return the scale and what each sign means, in as many rows as it takes up to the most."""
    shown = {
        "rod": picture.rod is not None,
        "ran": bool(picture.ran),
        "window": picture.least is not None or picture.greatest is not None,
        "plate": picture.plate is not None,
        "frost": bool(picture.frost),
        "line": any(not line.holds and line.y_from_in is not None for line in picture.lines),
        "line-held": any(line.holds and line.y_from_in is not None for line in picture.lines),
        "line-asked": any(line.y_from_in is None for line in picture.lines),
    }
    items = [Piece(words, role) for role, words in LEGEND if shown[role]]
    found = [[Piece(_scale_words(picture, scale, columns), "label")]]
    for item in items:
        used = sum(len(piece.text) for piece in found[-1])
        if used + 2 + len(item.text) <= columns:
            found[-1] += [Piece("  ", ""), item]
        elif len(found) < most_rows and len(item.text) <= columns:
            found.append([item])
    for row in found:
        row.append(Piece(" " * (columns - sum(len(piece.text) for piece in row)), ""))
    return found


class _Drawing:
    """One picture on one canvas."""

    def __init__(self, picture: SectionPicture, scale: SectionScale, canvas: Canvas) -> None:
        self.picture, self.scale, self.canvas = picture, scale, canvas
        self.right_in = scale.left_in + canvas.columns * scale.per_column_in

    def draw(self) -> None:
        """Draw from the back to the front, labels last."""
        self._ground()
        self._room()
        self._wall()
        self._pit()
        for bound in (self.picture.least, self.picture.greatest):
            if bound is not None:
                self._stroke(bound, WINDOW)
        for ran in self.picture.ran:
            self._stroke(ran, RAN)
        if self.picture.rod is not None:
            # Up to the plate, which stands in the column past the pit's house side.
            to_in = self.scale.left_in + (self._seat_column() + 1) * self.scale.per_column_in
            self._draw(self.picture.rod.start, (to_in, self.picture.rod.at_in(to_in)), ROD)
        if self.picture.tail is not None:
            self._draw(self.picture.tail.start, self.picture.tail.end, ROD)
        self._plate()
        for line in self.picture.lines:
            self._line(line)
        self._labels()

    def _draw(self, start: Point, end: Point, pen: Pen) -> None:
        self.canvas.line(self.scale.spot(start), self.scale.spot(end), pen)

    def _stroke(self, stroke: Stroke, pen: Pen) -> None:
        # From the outer face on: inside the wall all of them run through one hole.
        x = self._ground_starts_in()
        self._draw((x, stroke.at_in(x)), stroke.end, pen)

    def _seat_column(self) -> int:
        return self.scale.column(self.picture.pit.seat_in - 1e-9)

    def _ground_starts_in(self) -> float:
        """Return the edge of the first column that is not the wall's."""
        return self.scale.left_in + (self.scale.column(-1e-9) + 1) * self.scale.per_column_in

    def _ground(self) -> None:
        picture, near_in = self.picture, self._ground_starts_in()
        near, far = ((x, picture.ground_at_in(x)) for x in (near_in, self.right_in))
        self._draw(near, far, GROUND if picture.drop_in is not None else GROUND_UNKNOWN)
        if picture.frost:
            deep_in = picture.frost[0][1]
            self._draw((near[0], near[1] + deep_in), (far[0], far[1] + deep_in), FROST)

    def _room(self) -> None:
        inner = self.scale.column(-self.picture.wall.way_in + 1e-9)
        floor = self.scale.row(self.picture.slab_in)
        for column in range(inner):
            self.canvas.put(column, floor, "═", "wall")
        joists_in = self.picture.joists_in
        if joists_in is not None:
            row = self.scale.row(joists_in - 1e-9)
            for column in range(inner):
                self.canvas.put(column, row, "┴" if column % 4 == 1 else "─", "wall")

    def _wall(self) -> None:
        picture, scale = self.picture, self.scale
        left = scale.column(-picture.wall.way_in + 1e-9)
        right = max(left, scale.column(-1e-9))
        fill = WALL_FILL[picture.wall.type]
        top, foot = scale.row(picture.wall_top_in), scale.row(picture.slab_in)
        for row in range(top, foot + 1):
            glyph = "═" if self._bed_joint(row) else fill
            for column in range(left, right + 1):
                self.canvas.put(column, row, glyph, "wall")

    def _bed_joint(self, row: int) -> bool:
        course_in, per_row_in = self.picture.wall.course_in, self.scale.per_row_in
        if self.picture.wall.type != "block" or course_in is None or per_row_in > course_in:
            return False
        upper_in = self.scale.top_in + row * per_row_in - self.picture.wall_top_in
        return math.floor(upper_in / course_in) != math.floor((upper_in + per_row_in) / course_in)

    def _pit(self) -> None:
        picture, scale = self.picture, self.scale
        pit = picture.pit
        left, right = (scale.column(side_in - 1e-9) for side_in in pit.sides_in)
        right = max(right, left + 2)
        top = scale.row(picture.ground_at_in(pit.seat_in))
        foot = max(scale.row(picture.pit_floor_in), top + 1)
        for row in range(top + 1, foot):
            self.canvas.put(left, row, "│", "pit")
            self.canvas.put(right, row, "│", "pit")
        for column in range(left + 1, right):
            self.canvas.put(column, foot, "─", "pit")
        self.canvas.put(left, foot, "└", "pit")
        self.canvas.put(right, foot, "┘", "pit")

    def _plate(self) -> None:
        if self.picture.plate is None:
            return
        upper_in, lower_in = self.picture.plate
        column = self._seat_column() + 1
        half_in = self.scale.per_row_in / 2
        first = round((upper_in - self.scale.top_in) / half_in)
        last = max(first + 1, round((lower_in - self.scale.top_in) / half_in))
        lowest = (
            self.canvas.rows
            if lower_in > self.picture.pit_floor_in
            else self.scale.row(self.picture.pit_floor_in)
        )
        for row in range(first // 2, min((last - 1) // 2 + 1, lowest)):
            upper, lower = first <= 2 * row < last, first <= 2 * row + 1 < last
            self.canvas.write(column, row, "█" if upper and lower else "▀" if upper else "▄", "plate")

    def _line(self, line: LineInSection) -> None:
        role, glyph = ("line-held", "■") if line.holds else ("line", "o")
        if line.y_from_in is None or line.y_to_in is None:
            self._line_of_unknown_depth(line, role)
        elif line.crosses:
            self.canvas.write(
                self.scale.column(line.out_from_in), self.scale.row(line.y_from_in), glyph, role
            )
        else:
            start, end = (line.out_from_in, line.y_from_in), (line.out_to_in, line.y_to_in)
            self._draw(start, end, LINE_BESIDE_HELD if line.holds else LINE_BESIDE)

    def _line_of_unknown_depth(self, line: LineInSection, role: str) -> None:
        """Draw question marks: from the ground down where it crosses, or under the ground beside the rod."""
        if line.crosses:
            column = self.scale.column(line.out_from_in)
            top = self.scale.row(self.picture.ground_at_in(line.out_from_in)) + 1
            for row in range(top, max(top + 1, self.scale.row(self.picture.pit_floor_in))):
                self.canvas.write(column, row, "?", role)
            return
        first, last = self.scale.column(line.out_from_in), self.scale.column(line.out_to_in)
        for column in range(first + 2, last, 4):
            x = self.scale.left_in + column * self.scale.per_column_in
            self.canvas.write(column, self.scale.row(self.picture.ground_at_in(x)) + 1, "?", role)

    def _labels(self) -> None:
        picture, scale = self.picture, self.scale
        if picture.title:
            self.canvas.place([(1, 0), (1, 1)], picture.title, "title")
        for line in picture.lines:
            self._label_line(line)
        if picture.rod is not None:
            start = (picture.tail or picture.rod).start
            row = scale.row(start[1])
            column = max(1, scale.column(start[0]))
            spots = [(column, row - 1), (column, row + 2), (column, row + 1), (column, row + 3)]
            if not self._place(spots, "rod", picture.rod.words, picture.rod.short):
                self._label_stroke(picture.rod, "rod", 2)
        for bound, offset in ((picture.least, -1), (picture.greatest, 1)):
            if bound is not None:
                self._label_stroke(bound, "window", offset)
        if picture.ran:
            self._label_stroke(picture.ran[-1], "ran", -1)
        self._label_ground()
        self._label_wall()

    def _place(self, spots: list[tuple[int, int]], role: str, *words: str) -> bool:
        """Write the first of the words that has room; False where none has."""
        return any(self.canvas.place(spots, text, role) for text in words)

    def _label_stroke(self, stroke: Stroke, role: str, offset: int) -> None:
        """Write beside a line, from its far end back, on the side that is free first."""
        end_column = self.scale.column(self.picture.pit.seat_in) - len(stroke.words) - 2
        spots = []
        for away in (offset, -offset, 2 * offset):
            for column in range(end_column, end_column - 40, -4):
                x = self.scale.left_in + (column + len(stroke.words) / 2) * self.scale.per_column_in
                spots.append((column, self.scale.row(stroke.at_in(x)) + away))
        self._place(spots, role, stroke.words, stroke.short)

    def _label_line(self, line: LineInSection) -> None:
        role = "line-held" if line.holds else "line"
        x = (line.out_from_in + line.out_to_in) / 2
        column = self.scale.column(x)
        ground = self.scale.row(self.picture.ground_at_in(x))
        spots = []
        if line.y_from_in is not None:
            row = self.scale.row(line.y_from_in)
            spots = [
                (column + 2, row),
                (column - len(line.words) - 2, row),
                (column + 2, row - 1),
                (column + 2, row + 1),
            ]
        spots += [(column + dx, ground - up) for up in (1, 2, 3) for dx in (2, -4, -len(line.words) // 2)]
        self._place(spots, role, line.words, line.short)

    def _label_wall(self) -> None:
        """Write what the wall is made of, low in the room, or outside beside its foot."""
        kind = self.picture.wall.type
        row = self.scale.row(self.picture.slab_in) - 1
        left, right = self.scale.column(-self.picture.wall.way_in), self.scale.column(-1e-9)
        for words in (f"{kind} wall", kind):
            spots = [(left - len(words) - 1, row), (right + 3, row), (right + 3, row + 1)]
            if self.canvas.place(spots, words, "label"):
                return

    def _label_ground(self) -> None:
        picture, scale = self.picture, self.scale
        drop_in = picture.drop_in
        if drop_in is None:
            words = "grade, fall ?"
        elif abs(drop_in) < 1 / 16:
            words = "grade, level"
        else:
            way = "falls" if drop_in > 0 else "rises"
            words = f"grade {way} {show_length(abs(drop_in), picture.system)}"
        column = scale.column(0.0) + 3
        row = scale.row(0.0)
        self.canvas.place([(column, row - 1), (column, row - 2), (column + 20, row - 1)], words, "ground")
        if picture.frost:
            deep_in = picture.frost[0][1]
            words = f"frost {show_length(deep_in, picture.system)}"
            row = scale.row(deep_in)
            self.canvas.place([(column, row - 1), (column, row + 1), (column + 12, row - 1)], words, "frost")
        pit = f"pit {show_length(picture.pit.depth_in, picture.system)}"
        column = scale.column(picture.pit.seat_in)
        row = scale.row(picture.pit_floor_in)
        self.canvas.place([(column - len(pit) - 1, row), (column - 2, row + 1)], pit, "pit")
