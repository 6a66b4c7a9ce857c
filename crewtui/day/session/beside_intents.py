"""Intents beside the anchors: notes, calls, people in and out, tools started and stopped."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Final, Literal, get_args

from crewtui.day.journal import beside_entries as b
from crewtui.day.journal import entries as e
from crewtui.day.journal.entry_parts import plain_text
from crewtui.day.session.intents import Part, asking, need
from crewtui.day.state.crew_hours import WORDS_OF_EVENTS, can_be_said, people_known
from crewtui.day.state.exposures import TOOLS, tool_of
from crewtui.day.steps.outcomes import Outcome, refuse
from crewtui.trade.vocabulary import GroundTrouble

_PREFIX: Final = re.compile(r"(owner|job|wall)\s*:\s*", re.IGNORECASE)
_LEAST_RUN: Final = timedelta(minutes=1)
_LONGEST_RUN: Final = timedelta(hours=14)
"""A tool that ran longer than a shift was not stopped when it was laid down."""
_DEEPEST_MET_IN: Final = 1_200.0
_HOUR_S: Final = 3_600


class BesideIntents(Part):
    """What happens beside the anchors."""

    # Notes and calls.

    @asking
    def note(
        self, text: str, *, anchor: str | None = None, wall: str | None = None, for_owner: bool = False
    ) -> Outcome:
        """Keep a remark about an anchor, a wall or the job; one marked so stands on the owner's sheet too."""
        need(text, "Type the note.")
        if wall is not None and wall not in {item.name for item in self.day.job.walls}:
            raise refuse(f"There is no wall {wall}.")
        return self.day.save(
            e.Note(**self.day.times(None), anchor=anchor, wall=wall, text=text, for_owner=for_owner)
        )

    @asking
    def note_here(self, text: str, anchor: str) -> Outcome:
        """Keep a remark as it is typed at an anchor.

        ``wall:`` or ``job:`` before it says that it is about more than the anchor, ``owner:`` that it is for
        the owner too; both may stand there.
        """
        said = set()
        while found := _PREFIX.match(text):
            said.add(found[1].lower())
            text = text[found.end() :]
        now = self.day.state.anchors[anchor]
        at_anchor = not said & {"job", "wall"}
        return self.note(
            text,
            anchor=anchor if at_anchor else None,
            wall=now.wall if "wall" in said else None,
            for_owner="owner" in said,
        )

    @asking
    def call_made(
        self,
        who: str,
        *,
        about: str = "",
        said: str = "",
        anchor: str | None = None,
        done_at: datetime | None = None,
    ) -> Outcome:
        """Keep whom somebody called from the site, about what, and what they answered."""
        need(who, "Who was called?")
        return self.day.save(
            b.CallMade(**self.day.times(done_at), who=who, about=about, said=said, anchor=anchor)
        )

    @asking
    def change_agreed(
        self,
        what: str,
        *,
        name: str,
        before: str = "",
        after: str = "",
        site_forced: bool = False,
        anchor: str | None = None,
        done_at: datetime | None = None,
    ) -> Outcome:
        """Keep what is done otherwise than agreed, its figures before and after, and who said yes."""
        need(what, "What is done otherwise?")
        need(name, "Who said yes to it? The owner's name, or who speaks for them.")
        return self.day.save(
            b.ChangeAgreed(
                **self.day.times(done_at),
                what=what,
                before=before,
                after=after,
                because="site forced" if site_forced else "owner asked",
                name=name,
                anchor=anchor,
            )
        )

    @asking
    def ground_found(
        self,
        anchor: str,
        what: GroundTrouble,
        *,
        at: Literal["pit", "drive"],
        depth_in: float | None = None,
        note: str = "",
        done_at: datetime | None = None,
    ) -> Outcome:
        """Keep that the ground was not as hoped at an anchor; the ways on stand in ``ground_ways``."""
        self.day.anchor(anchor)
        if what not in get_args(GroundTrouble):
            raise refuse(f"Say what was met: {', '.join(get_args(GroundTrouble))}.")
        if depth_in is not None and not 0 <= depth_in <= _DEEPEST_MET_IN:
            raise refuse("How deep it was met is not negative, and not over 100 ft: check the unit.")
        return self.day.save(
            b.GroundFound(
                **self.day.times(done_at), anchor=anchor, what=what, at=at, depth_in=depth_in, note=note
            )
        )

    # People.

    @asking
    def people(self, what: str, *names: str, done_at: datetime | None = None) -> Outcome:
        """Keep who came, left, went on a break or is back; without a name, all of whom it can be said.

        One entry at seven, at noon and at four, however many they are.
        """
        times = self.day.times(done_at)
        if what not in WORDS_OF_EVENTS:
            raise refuse(f"People come in, go out, go on a break or are back: {', '.join(WORDS_OF_EVENTS)}.")
        named = tuple(dict.fromkeys(plain_text(name) for name in names))
        if names and not all(named):
            raise refuse("Who? Type the name.")
        known = named or people_known(self.day.state)
        can = tuple(name for name in known if what in can_be_said(self.day.state, name))
        if not can:
            who = named[0] if named else "anybody"
            raise refuse(
                f"{WORDS_OF_EVENTS[what][0].upper()}{WORDS_OF_EVENTS[what][1:]} cannot be said of {who} now."
            )
        return self.day.save(b.PeopleSeen.model_validate({**times, "people": can, "what": what}))

    # Tools.

    @asking
    def start_tool(self, tool: str, *, who: str = "", indoors: bool | None = None) -> Outcome:
        """Start the clock of a tool that makes dust or noise."""
        found = tool_of(tool)
        if found is None:
            raise refuse(f"There is no tool {tool}: {', '.join(one.id for one in TOOLS)}.")
        if tool in self.day.state.shared.beside.running:
            raise refuse(f"The {tool} runs already; stop it first.")
        return self.day.save(
            b.ToolStarted(
                **self.day.times(None),
                tool=tool,
                indoors=found.indoors if indoors is None else indoors,
                who=who,
            )
        )

    @asking
    def stop_tool(self, tool: str, *, done_at: datetime | None = None) -> Outcome:
        """Stop a tool: the time that it ran is time on it, as if it had been typed."""
        times = self.day.times(done_at)
        started = self.day.state.shared.beside.running.get(tool)
        if started is None:
            raise refuse(f"The {tool} was not started by the clock; type the time on it.")
        ran = max(times["done_at"] - started.done_at, _LEAST_RUN)
        if ran > _LONGEST_RUN:
            raise refuse(
                f"The {tool} was started {started.done_at:%a %H:%M} and not stopped since: say when it was"
                " laid down, or take the start back and type the time."
            )
        return self.day.save(
            e.ExposureEntered(
                **times,
                tool=tool,
                hours=ran.total_seconds() / _HOUR_S,
                indoors=started.indoors,
                who=started.who,
                started=started.n,
            )
        )
