"""Intents about holds, hazards and what is asked once: signed, set aside, answered, reopened."""

from __future__ import annotations

import re
from datetime import datetime
from typing import Final, get_args

from crewtui.day.journal import entries as e
from crewtui.day.safety.moments import MomentPage, moment_page
from crewtui.day.session.intents import Part, asking, need, need_reason
from crewtui.day.state.conditions import FACTS, pit_is_there
from crewtui.day.state.exposures import TOOLS, tool_of
from crewtui.day.state.hold import Hold
from crewtui.day.steps.outcomes import Outcome, refuse
from crewtui.job.tables.hazards import MOMENTS, HazardMoment
from crewtui.trade.vocabulary import SoilType


class HoldIntents(Part):
    """What the lead says about holds."""

    def _standing(self, hold: str, anchor: str | None) -> Hold:
        for found in self.day.standing_holds(anchor):
            if found.id == hold:
                return found
        raise refuse(f"{hold} holds nothing here now.")

    @asking
    def release_hold(
        self,
        hold: str,
        anchor: str | None,
        *,
        initials: str,
        note: str = "",
        done_at: datetime | None = None,
    ) -> Outcome:
        """Say that what a hold asks for is true, with initials or a name; a fact is not signed away."""
        found = self._standing(hold, anchor)
        if found.release == "fact":
            raise refuse(found.sentence)
        who = "a name" if found.release == "name" else "initials"
        need(initials, f"This is released with {who}.")
        if found.held_by == "hazard":
            return self.answer_hazard(
                hold, in_place=True, initials=initials, anchor=found.anchor, note=note, done_at=done_at
            )
        return self.day.save(
            e.HoldReleased(
                **self.day.times(done_at), hold=hold, anchor=found.anchor, initials=initials, note=note
            )
        )

    @asking
    def override_hold(self, hold: str, anchor: str | None, *, name: str, reason: str) -> Outcome:
        """Set a hold aside where its rule lets it, with who allowed it and why: a deviation."""
        found = self._standing(hold, anchor)
        if found.override == "never":
            raise refuse(f"This is never set aside. {found.way_on}")
        need(name, "Who allowed it? The record keeps the name.")
        need_reason(reason, "Why? The record keeps the reason.")
        return self.day.save(
            e.HoldOverridden(**self.day.times(None), hold=hold, anchor=found.anchor, name=name, reason=reason)
        )

    @asking
    def answer_hazard(
        self,
        hazard: str,
        *,
        in_place: bool,
        initials: str,
        anchor: str | None = None,
        note: str = "",
        done_at: datetime | None = None,
    ) -> Outcome:
        """Say that what a hazard asks for is in place, or that it is not."""
        found = next((item for item in self.day.hazards if item.id == hazard), None)
        if found is None:
            raise refuse(f"There is no hazard {hazard}.")
        if found.scope == "anchor" and anchor is None:
            raise refuse(f"{found.text}: this is answered at an anchor.")
        where = anchor if found.scope == "anchor" else None
        if where is not None:
            self.day.anchor(where)
        if in_place and found.of_the_pit and not pit_is_there(self.day.state, where):
            raise refuse(f"There is no pit at {where} yet: this is seen in the pit itself, once it is begun.")
        need(initials, "Sign it with your initials." if found.release == "check" else "Sign it with a name.")
        return self.day.save(
            e.HazardAnswered(
                **self.day.times(done_at),
                hazard=hazard,
                anchor=where,
                in_place=in_place,
                initials=initials,
                note=note,
            )
        )

    def moment_page(self, moment: HazardMoment, anchor: str | None) -> MomentPage:
        """Return what is read aloud at this moment and is still to be signed."""
        return moment_page(self.day.state, self.day.hazards, moment, anchor)

    @asking
    def sign_moment(
        self,
        moment: HazardMoment,
        *,
        initials: str,
        anchor: str | None = None,
        done_at: datetime | None = None,
    ) -> Outcome:
        """Say with one set of initials that every open line of a moment was read out and is in place."""
        if moment not in MOMENTS:
            raise refuse(f"There is no moment {moment}: {', '.join(MOMENTS)}.")
        if anchor is not None:
            self.day.anchor(anchor)
        page = self.moment_page(moment, anchor)
        if not page.count:
            named = f" A name is asked for: {'; '.join(page.by_name)}." if page.by_name else ""
            raise refuse(f"{page.title}: nothing is left to sign with initials.{named}")
        need(initials, "Read the page aloud, then sign it with your initials.")
        return self.day.save(
            e.MomentSigned(
                **self.day.times(done_at),
                moment=moment,
                anchor=page.anchor,
                job_hazards=page.job_hazards,
                anchor_hazards=page.anchor_hazards,
                initials=initials,
            )
        )

    @asking
    def answer_pit_entry(self, anchor: str, *, somebody: bool, done_at: datetime | None = None) -> Outcome:
        """Say whether anybody's head or trunk goes below this pit's rim."""
        self.day.anchor(anchor)
        return self.day.save(e.PitEntryAnswered(**self.day.times(done_at), anchor=anchor, somebody=somebody))

    @asking
    def answer_fact(self, fact: str, *, answer: bool, initials: str = "", note: str = "") -> Outcome:
        """Answer a question asked once a job."""
        if fact not in FACTS:
            raise refuse(f"{fact} is not asked.")
        if fact == "private lines" and not answer:
            self.refuse_no_private_lines()
        return self.day.save(
            e.FactAnswered(**self.day.times(None), fact=fact, answer=answer, initials=initials, note=note)
        )

    def refuse_no_private_lines(self) -> None:
        """Refuse that there are none where the job file has some."""
        private = [line.name for line in self.day.job.lines if line.private]
        if private:
            raise refuse(
                f"The job has lines of the owner's own in the ground: {', '.join(private)}. They count."
            )

    @asking
    def accept_deviation(self, n: int, *, name: str, reason: str) -> Outcome:
        """Have somebody named accept a deviation that stands."""
        if n not in {item.n for item in self.day.state.deviations}:
            raise refuse(f"Entry {n} is no deviation that stands.")
        need(name, "Who accepts it?")
        need_reason(reason, "Why is it accepted?")
        return self.day.save(e.DeviationAccepted(**self.day.times(None), of=n, name=name, reason=reason))

    @asking
    def reopen_inspection(self, because: str) -> Outcome:
        """Have the open pits looked over again, after rain, thaw, vibration or a burst hose."""
        need_reason(because, "What happened: rain, thaw, vibration, a burst hose?")
        return self.day.save(e.Reopened(**self.day.times(None), because=because))

    @asking
    def marks_faded(self, because: str = "") -> Outcome:
        """Have the marks on the ground renewed and looked at again before anybody digs or drives on."""
        return self.day.save(e.MarksFaded(**self.day.times(None), because=because))

    @asking
    def judge_soil(
        self, soil_type: str, *, name: str, undisturbed: bool = False, done_at: datetime | None = None
    ) -> Outcome:
        """Keep the soil type as the competent person judged it."""
        if soil_type not in get_args(SoilType):
            raise refuse("Soil is rock, A, B or C.")
        need(name, "Who judged it? The competent person's name.")
        return self.day.save(
            e.SoilJudged(**self.day.times(done_at), soil_type=soil_type, undisturbed=undisturbed, name=name)
        )

    @asking
    def enter_exposure(
        self,
        tool: str,
        time: str,
        *,
        indoors: bool | None = None,
        done_at: datetime | None = None,
    ) -> Outcome:
        """Keep the time on a tool that makes dust or noise: ``45 min``, ``1 h 30 at 98 dBA``, ``2 h by KS``.

        Without a level the company's figure counts, and without a name the time is everybody's.
        """
        found = tool_of(tool)
        if found is None:
            raise refuse(f"There is no tool {tool}: {', '.join(one.id for one in TOOLS)}.")
        parts = _TOOL_TIME.fullmatch(time.strip())
        if parts is None:
            raise refuse(f'"{time[:40]}" is no time on a tool. {_CAN}')
        return self.day.save(
            e.ExposureEntered(
                **self.day.times(done_at),
                tool=tool,
                hours=read_hours(parts[1]),
                indoors=found.indoors if indoors is None else indoors,
                level_dba=float(parts[2].replace(",", ".")) if parts[2] else None,
                who=parts[3] or "",
            )
        )


_HOURS: Final = re.compile(
    r"(?:(\d{1,2}(?:[.,]\d{1,2})?) ?h(?:ours?)?)? ?(?:(\d{1,4}) ?(?:min(?:utes)?|m)?)?"
)
_TOOL_TIME: Final = re.compile(
    r"(.*?)(?: +at +(\d{2,3}(?:[.,]\d)?) *dba?)?(?: +by +(.{1,60}))?", re.IGNORECASE
)
_CAN: Final = "Write it like 45 min, 1.5 h, 1 h 30 or 1:30."
_CLOCK: Final = re.compile(r"(\d{1,2}):(\d{2})")


def read_hours(text: str) -> float:
    """Return hours from 45 min, 1.5 h, 1 h 30 or 1:30; AskBackError with what can be read."""
    tidy = " ".join(text.lower().split())
    clock = _CLOCK.fullmatch(tidy)
    found = _HOURS.fullmatch(tidy)
    hours = 0.0
    if clock is not None:
        hours = int(clock[1]) + int(clock[2]) / 60
    elif found is not None and tidy and (found[1] or not tidy.isdigit()):
        hours = float((found[1] or "0").replace(",", ".")) + int(found[2] or "0") / 60
    if not 0 < hours <= _DAY_H:
        raise refuse(f'"{text[:40]}" is no time on a tool. {_CAN}')
    return hours


_DAY_H: Final = 24
