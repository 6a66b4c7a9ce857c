"""A visit's one word for an anchor, held against what was entered there that day."""

from __future__ import annotations

from typing import Final

from crewtui.day.state.state import AnchorNow
from crewtui.job.tables.steps import label

WORD_STEP: Final = "visit-word"
CALL: Final = "call"
NUT_STEP: Final = "nut"
_TIGHTENED: Final = "tightened"


def doubt_of(now: AnchorNow, word: str) -> str:
    """Return in a sentence what speaks against the word; empty where nothing does."""
    nut = now.answers.get(NUT_STEP)
    turned = nut is not None and nut.answer == _TIGHTENED
    amiss = [label(one.step) for one in now.deviations if one.step]
    if word == _TIGHTENED and not turned:
        return f'Nothing entered here says that the nut was tightened. Is the word "{word}"?'
    if word == CALL:
        return ""
    if amiss:
        named = ", ".join(dict.fromkeys(amiss))
        return f'Not as it should be here: {named}. Is the word "{word}", and not "{CALL}"?'
    if word != _TIGHTENED and turned:
        return f'The nut was tightened here. Is the word "{word}", and not "{_TIGHTENED}"?'
    return ""


__all__ = ["CALL", "NUT_STEP", "WORD_STEP", "doubt_of"]
