"""The briefing as a page on the screen."""

from __future__ import annotations

from crewtui.day.briefing import briefing
from crewtui.tui.pages import WordsPage
from crewtui.tui.panes.base import Here


def briefing_page(here: Here) -> WordsPage:
    """Return the page to read aloud."""
    return WordsPage("Briefing: read it aloud", briefing(here.day.state, here.day.hazards, here.day.clock()))
