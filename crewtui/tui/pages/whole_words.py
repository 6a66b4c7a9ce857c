"""All the words about one row on a page of their own: what the lines below the list have no room for."""

from __future__ import annotations

from crewtui.tui.widgets.chrome import Saying
from crewtui.tui.widgets.pages import WordsPage
from crewtui.tui.widgets.rows import Row

WHY_KEY = "y"


def whole_words(row: Row | None, saying: Saying, *, title: str = "") -> WordsPage:
    """Return the page: the row as it stands, and everything there is to say about it."""
    said = [words for _, words in saying.lines if words]
    if row is not None:
        title = title or row.label
        line = f"{row.label}: {row.value}" if row.value else row.label
        said = [part for part in (line, row.note) if part and not any(part in words for words in said)] + said
    return WordsPage(title, "\n\n".join(said) or "There is nothing more to say.", extra_keys=(WHY_KEY,))
