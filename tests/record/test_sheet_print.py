"""The owner's sheet in print: in black and white alone, and, where Chromium is found, page by page.

The pages are printed by a real browser and read back with pdftotext, both from Debian's packages; where
either is missing, those tests are not there.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from collections.abc import Callable
from datetime import UTC, datetime
from html import escape, unescape
from pathlib import Path
from typing import Any

import axe_core_python
import pytest

from crewtui.record.sheets.owner_sheet import Reader, draft_sheet, owner_sheet
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND, sign_record
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import Verdict, verify_data

AT = datetime(2031, 4, 5, 16, 20, tzinfo=UTC)
KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
CHROMIUM = shutil.which("chromium")
PDFTOTEXT = shutil.which("pdftotext")
ANCHORS = 9
CARD = r"A-{}\s+north; (?:finished|not as planned)"


def reading(when: str, bow_in: float) -> dict[str, Any]:
    return {
        "when": when, "line": "plumb line", "heights_in": [4.0, 46.0, 88.0], "resolution_in": 0.0625,
        "offsets_in": [6.0, 6.0 - bow_in, 5.75],
    }  # fmt: skip


def anchor(number: int) -> dict[str, Any]:
    inputs = {
        "along_in": 30.0 + 60 * number, "setback_in": 144.0, "drop_in": 6.0, "mark_depth_in": 28.0,
        "bow_in": 1.0, "thickness_in": 8.0, "grade_to_top_in": 8.0,
        "slab_to_top_in": 92.0, "pit_depth_in": 54.0,
        "pit_along_rod_in": 12.0, "plate_height_in": 12.0, "plate_width_in": 12.0,
        "frost_depth_in": 30.0,
    }  # fmt: skip
    values = {
        "setback_in": 144.0, "mark_depth_in": 28.0, "depth_found_in": 40.0 + number / 4,
        "side_offset_in": 0.75, "first_torque_lbf_ft": 80.0, "second_torque_lbf_ft": 80.0,
        "pull_in_in": 0.375,
    }  # fmt: skip
    return {
        "id": f"A-{number + 1}", "wall": "north", "state": "complete",
        "planned": {"along_in": 30.0 + 60 * number, "owner_adjustable": number % 2 == 0},
        "input": [{"quantity": name, "value": value} for name, value in inputs.items()],
        "value": [{"quantity": name, "value": value, "then": "clicked"} for name, value in values.items()],
        "answer": [{"step": "wall-plate-on", "answer": "yes"}],
        "figure": {"torque_lbf_ft": 80.0},
        "reading": [reading("before", 1.5), reading("after", 1.25)],
    }  # fmt: skip


def page(reader: Reader, **changes: Any) -> str:
    return owner_sheet(signed_page(**changes), reader)


def signed_page(**changes: Any) -> Verdict:
    data: dict[str, Any] = {
        "kind": RECORD_KIND, "format": RECORD_FORMAT, "complete": True,
        "governs": "The engineer's plan governs.",
        "job": {"id": "J-1", "site": "Sample Lane 5 (invented)", "units": "imperial", "lead": "Lee Sample"},
        "wall": [{"name": "north", "type": "block", "length_in": 560.0, "slab_to_top_in": 92.0,
                  "grade_to_top_in": 8.0, "block_course_in": 8.0,
                  "opening": [{"name": "window", "start_in": 170.0, "end_in": 200.0, "bottom_in": 48.0}]}],
        "anchor": [anchor(number) for number in range(ANCHORS)],
        "contacts": [{"role": "office", "name": "Jo Sample", "phone": "555-0103"}],
        "tightening": {"said_by": "Sheet S-1 (invented)", "when": "each spring", "turn": "a quarter turn"},
        "deviation": [{"anchor": "A-1", "kind": "answer", "step": "sod", "text": "no", "reason": f"{n} " * 60,
                       "done_at": AT} for n in range(30)],
    }  # fmt: skip
    return verify_data(sign_record(data | changes, KEY, signed_at=AT), KNOWN)


@pytest.mark.parametrize("reader", ["owner", "office"])
def test_only_black_white_and_two_grays_are_printed(reader: Reader) -> None:
    text = page(reader)
    colors = set(re.findall(r"#[0-9a-fA-F]{3,6}\b", text))
    assert colors <= {"#000", "#fff", "#777", "#ddd"}
    assert not re.search(r"\brgb|\bhsl|color: (?!#)", text)
    # Gray stands for thin lines and the body of the wall, never for words.
    assert not re.findall(r"<text[^>]*fill=", text)


def test_an_anchor_s_card_is_asked_to_stay_on_one_page() -> None:
    card = re.search(r"\.anchor \{[^}]*\}", page("owner"))
    assert card is not None
    assert "break-inside: avoid" in card[0]
    assert not re.search(r"@page[^}]*\bsize:", page("owner")), "the printer's own paper, letter or A4"


def test_the_drawings_show_what_was_built() -> None:
    text = page("owner")
    assert text.count("<svg") == 1 + 1 + 1 + 2 * ANCHORS, "yard, wall, bow; and two an anchor"
    for words in ("40 in deep", "12 ft from the wall to the pit&#39;s middle", "ground falls 6 in",
                  "frost 30 in", "window", "before", "inward to the left"):  # fmt: skip
        assert words in text, words


def test_without_readings_the_facts_stand_beside_the_drawing() -> None:
    bare = [{**anchor(number), "reading": []} for number in range(ANCHORS)]
    text = page("owner", anchor=bare)
    assert text.count('class="row unread"') == ANCHORS
    assert text.count("<svg") == 1 + 1 + ANCHORS
    for row in re.findall(r'<div class="row unread">.*?</article>', text, re.DOTALL):
        assert row.count("<dt>Along the wall</dt>") == 1


@pytest.mark.parametrize("pipe_in", range(32, 232, 8))
def test_the_name_of_an_opening_is_written_over_no_plate(pipe_in: int) -> None:
    wall = {"name": "north", "type": "block", "length_in": 560.0, "slab_to_top_in": 92.0,
            "grade_to_top_in": 8.0, "block_course_in": 8.0,
            "opening": [{"name": "hose pipe", "start_in": pipe_in, "end_in": pipe_in + 2.0, "bottom_in": 60.0,
                         "top_in": 64.0}]}  # fmt: skip
    drawing = re.search(
        r'<svg[^>]*label="north wall from inside.*?</svg>', page("owner", wall=[wall]), re.DOTALL
    )
    assert drawing is not None
    found = re.search(r"<text([^>]*)>hose pipe</text>", drawing[0])
    assert found is not None
    at = {name: float(re.search(rf'\b{name}="([-\d.]+)"', found[1])[1]) for name in ("x", "y", "font-size")}
    half = len("hose pipe") * at["font-size"] * 0.6 / 2
    plates = re.findall(r'<rect([^>]*)fill="#000"', drawing[0])
    assert len(plates) == ANCHORS
    for box in plates:
        left, top, width, height = (
            float(re.search(rf'\b{name}="([-\d.]+)"', box)[1]) for name in ("x", "y", "width", "height")
        )
        apart = at["x"] + half <= left or at["x"] - half >= left + width
        assert apart or at["y"] <= top or at["y"] - at["font-size"] >= top + height


def test_without_a_readable_schedule_the_plan_governs() -> None:
    assert "govern" in page("owner", tightening={"when": 7})
    assert "maker&#39;s sheet" in page("owner", tightening={})


if CHROMIUM is not None and PDFTOTEXT is not None:
    Browse = Callable[..., str]

    @pytest.fixture
    def browse(tmp_path: Path) -> Browse:
        """Return a function that runs Chromium on a page, off the network and with a profile of its own."""

        def run(path: Path, *options: str) -> str:
            command = [
                str(CHROMIUM), "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run",
                "--disable-background-networking", "--disable-component-update", "--disable-sync",
                f"--user-data-dir={tmp_path / 'profile'}", *options, path.as_uri(),
            ]  # fmt: skip
            done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)
            return done.stdout

        return run

    def printed(browse: Browse, folder: Path, text: str, paper: str) -> list[str]:
        source, target = folder / "page.html", folder / "page.pdf"
        source.write_text(
            text.replace("@page { margin", f"@page {{ size: {paper}; margin", 1), encoding="utf-8"
        )
        browse(source, "--no-pdf-header-footer", f"--print-to-pdf={target}")
        done = subprocess.run(
            [str(PDFTOTEXT), "-layout", str(target), "-"], capture_output=True, text=True, check=True
        )
        return done.stdout.split("\f")[:-1]

    @pytest.mark.parametrize("paper", ["letter", "A4"])
    def test_no_anchor_is_split_over_two_pages(browse: Browse, tmp_path: Path, paper: str) -> None:
        pages = printed(browse, tmp_path, page("owner"), paper)
        for number in range(ANCHORS):
            top = [
                n
                for n, text in enumerate(pages)
                if re.search(rf"A-{number + 1}\s+north; (finished|not as planned)", text)
            ]
            assert len(top) == 1, number
        # Each card ends with the change of that day: as many ends as beginnings on every page.
        for text in pages:
            assert len(re.findall(CARD.format(r"\d"), text)) == text.count("Change that day")
        assert max(text.count("Change that day") for text in pages) == 2, "two anchors stand on a page"

    def looked_at(browse: Browse, folder: Path, text: str, width: int, look: str) -> Any:
        """Return what a function of a page's document finds in a frame so wide."""
        source, frame = folder / "page.html", folder / "frame.html"
        source.write_text(text, encoding="utf-8")
        bare = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", text)
        frame.write_text(
            f"<body style='margin:0'><iframe srcdoc='{escape(bare, quote=True)}' style='border:0;"
            f"width:{width}px;height:9000px'></iframe>"
            f"<script>onload = async () => {{ const found = await ({look})("
            "document.querySelector('iframe').contentWindow); document.body.textContent = 'FOUND' +"
            " JSON.stringify(found) + 'END'; };</script></body>",
            encoding="utf-8",
        )
        dom = browse(frame, "--dump-dom", "--virtual-time-budget=20000", f"--window-size={width + 60},1000")
        found = re.search(r"FOUND(.*?)END", dom, re.DOTALL)
        assert found is not None
        return json.loads(unescape(found[1]))

    @pytest.mark.parametrize("reader", ["owner", "office"])
    @pytest.mark.parametrize("width", [375, 768, 1200])
    def test_no_text_is_clipped(browse: Browse, tmp_path: Path, reader: Reader, width: int) -> None:
        look = """(window) => {
        const bad = [], document = window.document, getComputedStyle = window.getComputedStyle;
        if (document.documentElement.scrollWidth > window.innerWidth) bad.push("the page scrolls sideways");
        for (const one of document.querySelectorAll("body *")) {
          if (one.closest("svg, thead, figure.wide, .mark, details")) continue;
          if (one.scrollWidth > one.clientWidth + 1 && getComputedStyle(one).display !== "inline")
            bad.push(one.tagName + " " + one.textContent.slice(0, 40));
        }
        for (const one of document.querySelectorAll("svg text")) {
          const frame = one.ownerSVGElement.getBoundingClientRect(), box = one.getBoundingClientRect();
          if (box.left < frame.left - 1 || box.right > frame.right + 1 || box.top < frame.top - 1 ||
              box.bottom > frame.bottom + 1) bad.push("svg " + one.textContent);
        }
        return bad; }"""
        assert looked_at(browse, tmp_path, page(reader), width, look) == []

    @pytest.mark.parametrize("reader", ["owner", "office"])
    @pytest.mark.parametrize("width", [375, 768])
    def test_the_rules_of_accessible_pages_hold(
        browse: Browse, tmp_path: Path, reader: Reader, width: int
    ) -> None:
        """Every rule of axe-core (Deque Systems, MPL 2.0), as its Python package brings it."""
        rules = Path(axe_core_python.__file__).with_name("axe.min.js").read_text(encoding="utf-8")
        (tmp_path / "axe.js").write_text(rules, encoding="utf-8")
        look = """async (window) => {
        const code = window.document.createElement("script");
        const loaded = new Promise(done => code.onload = done);
        code.src = "axe.js"; window.document.head.append(code); await loaded;
        const found = await window.axe.run(window.document);
        return found.violations.map(one => one.id + ": " + one.nodes[0].html.slice(0, 200)); }"""
        assert looked_at(browse, tmp_path, page(reader), width, look) == []

    @pytest.mark.parametrize("paper", ["letter", "A4"])
    def test_every_page_names_the_job_and_its_number_and_a_draft_says_so(
        browse: Browse, tmp_path: Path, paper: str
    ) -> None:
        verdict = signed_page()
        assert verdict.record is not None
        for text, draft in ((owner_sheet(verdict), False), (draft_sheet(verdict.record), True)):
            pages = printed(browse, tmp_path, text, paper)
            for number, one in enumerate(pages, 1):
                assert f"page {number} of {len(pages)}" in one
                assert "job J-1, Sample Lane 5 (invented)" in one
                assert ("DRAFT: not signed, and it may still change" in one) is draft

    @pytest.mark.parametrize("paper", ["letter", "A4"])
    def test_the_yard_with_its_tapes_stands_on_page_one(browse: Browse, tmp_path: Path, paper: str) -> None:
        first, *rest = printed(browse, tmp_path, page("owner", deviation=[]), paper)
        for words in ("What is not as planned", "What never to do", "The next visit", "555-0103",
                      "left corner", "Hold both tapes level"):  # fmt: skip
            assert words in first, words
        assert rest[0].lstrip().startswith("The anchors")

    def test_the_office_s_tables_repeat_their_heads_and_lose_no_row(browse: Browse, tmp_path: Path) -> None:
        pages = printed(browse, tmp_path, page("office"), "letter")
        rows = sum(len(re.findall(r"2031-04-05", text)) for text in pages)
        assert rows >= 30
        with_rows = [text for text in pages if re.search(r"A-1 +Sod cut.* answer", text)]
        assert len(with_rows) > 1
        assert all("Accepted" in text for text in with_rows)
