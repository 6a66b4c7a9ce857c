"""The briefing as a page on the screen."""

from __future__ import annotations

from crewtui.day.safety.briefing_text import briefing
from crewtui.tui.widgets.pages import WordsPage
from crewtui.tui.widgets.pane import Here


def briefing_page(here: Here) -> WordsPage:
    """Return the page to read aloud."""
    return WordsPage("Briefing: read it aloud", briefing(here.day.state, here.day.hazards, here.day.clock()))
