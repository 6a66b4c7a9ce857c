"""Intents of the two walks with the owner: before the work, and on leaving."""

from __future__ import annotations

from datetime import datetime

from crewtui.day.journal import beside_entries as b
from crewtui.day.session.intents import Part, asking, need
from crewtui.day.state.walks_done import WalkRow, walk_rows
from crewtui.day.steps.outcomes import Outcome, refuse
from crewtui.job.tables.walks import WalkName, things

"""What is written where there is nothing of a kind."""


class WalkIntents(Part):
    """What is looked at and shown with the owner."""

    def walk(self, walk: WalkName) -> tuple[WalkRow, ...]:
        """Return what belongs to a walk, with what was written down of it."""
        return walk_rows(self.day.state, walk)

    @asking
    def walk_seen(
        self,
        walk: WalkName,
        thing: str,
        words: str = b.NOTHING,
        *,
        place: str = "",
        anchor: str | None = None,
        done_at: datetime | None = None,
    ) -> Outcome:
        """Keep one thing as it is, with its place; several of a kind are several entries."""
        if thing not in {one.id for one in things(walk)}:
            raise refuse(f"{thing[:40]} is not on this walk: {', '.join(one.id for one in things(walk))}.")
        need(words, "Say how it is in a few words, or that there is nothing.")
        return self.day.save(
            b.WalkSeen(
                **self.day.times(done_at), walk=walk, thing=thing, place=place, words=words, anchor=anchor
            )
        )

    @asking
    def seen_here(self, walk: WalkName, thing: str, text: str, *, done_at: datetime | None = None) -> Outcome:
        """Keep one thing as it is typed: its place before a colon, or no place."""
        place, colon, words = text.partition(":")
        if not colon:
            place, words = "", text
        return self.walk_seen(walk, thing, words.strip(), place=place.strip(), done_at=done_at)

    @asking
    def walk_agreed(
        self, walk: WalkName, name: str, *, questions: str = "", done_at: datetime | None = None
    ) -> Outcome:
        """Keep that the owner says a walk is as it was written down, with their name and questions."""
        left = [row.label for row in self.walk(walk) if not row.seen]
        if left:
            raise refuse(f"Not looked at yet: {'; '.join(left)}.")
        need(name, "Who walked along? The owner's name, or who speaks for them.")
        return self.day.save(
            b.WalkAgreed(**self.day.times(done_at), walk=walk, name=name, questions=questions)
        )
