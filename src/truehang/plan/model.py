"""What is a plan? Every room's answer for one job, frozen, with everything behind it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from truehang.catalogue.access import AccessLimits
from truehang.catalogue.regions import Region
from truehang.cutting import CuttingPlan
from truehang.figures import Ledger
from truehang.findings import Finding
from truehang.fit import Arrangement, Options, Service
from truehang.fixings import Fixings
from truehang.hardware import HangingLeft, LeafHardware
from truehang.job import Job
from truehang.lengths import LengthStyle
from truehang.lining import LiningPlan
from truehang.measure import FitChance, Measured
from truehang.members import Member
from truehang.message import Message, Voice, voiced
from truehang.plan.answers import Answers
from truehang.plan.by_hand import TurnTable, TurnTables
from truehang.plan.over_model import OverOpening
from truehang.plan.standing import Standing, standing_of
from truehang.plan.weigh import WeighedOption
from truehang.sound import SoundResult
from truehang.steps import Step
from truehang.structure import Bearing, HeadMovement, HeadSizing, TrackHeadChoice
from truehang.takeoff import Takeoff


@dataclass(frozen=True, slots=True)
class Plan:
    """One job, planned. A part that can't be known is None, and a finding says why.

    `digest` is the sha256 of job, catalogue and program version: equal digests give equal
    documents. `style` is how lengths are printed, `words` are the region's words.
    """

    job: Job
    catalogue_version: str
    digest: str
    region: Region
    style: LengthStyle
    measured: Measured
    chance: FitChance | None
    services: tuple[Service, ...]
    options: Options
    weighed: tuple[WeighedOption, ...]
    arrangement: Arrangement | None
    bearing: Bearing
    head_movement: HeadMovement | None
    track_head: TrackHeadChoice | None
    over: OverOpening | None
    """What the track hangs from; None where a head that carries load goes in."""
    head_sizing: HeadSizing | None
    unsized: Message
    """Why the head that goes in is not sized; empty where it is, or where none goes in."""
    hardware: tuple[LeafHardware, ...]
    hanging_left: tuple[HangingLeft, ...]
    members: tuple[Member, ...]
    """Every piece of framing, where it stands; () where nothing fits."""
    fixings: Fixings | None
    takeoff: Takeoff | None
    sound: SoundResult | None
    steps: tuple[Step, ...]
    findings: tuple[Finding, ...]
    figures: Ledger
    lining: tuple[LiningPlan, ...] = ()
    """Which board goes where, one layout for each kind of board; () where nothing fits."""
    access: AccessLimits | None = None
    """The accessibility figures that the job asks for, in its building; None: none is asked."""
    answers: Answers = field(default_factory=Answers)
    """What the rooms say that are asked once a plan stands (`truehang.plan.later`)."""

    @property
    def cutting(self) -> CuttingPlan | None:
        """What is cut from which length; only after `complete`."""
        cut: CuttingPlan | None = self.answers.get("cutting")
        return cut

    @property
    def turn_tables(self) -> tuple[TurnTable, ...]:
        """Which hanger bolts to turn, to be read off by hand; only after `complete`."""
        tables: TurnTables | None = self.answers.get("turns")
        return tables.each if tables else ()

    @property
    def standing(self) -> Standing:
        """Which findings stand, and whether this plan is a draft: the one place that says so."""
        return standing_of(self.findings)

    @property
    def words(self) -> Mapping[str, str]:
        """The region's word for each of ours."""
        return self.region.words

    @property
    def voice(self) -> Voice:
        """How this job says things."""
        return Voice(self.style, self.words)

    def say(self, text: str) -> str:
        """A text that a room made apart from the plan, as this job prints lengths and words."""
        return self.voice.say(text)

    @property
    def stamp(self) -> str:
        """The first twelve characters of the digest, as printed on every page."""
        return self.digest[:12]


def spoken(plan: Plan) -> Plan:
    """The same with its messages in the job's own voice."""
    return voiced(plan, plan.voice)
