"""What a programme sets: units, fields, products, prices and rules. All of it comes from one file."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal
from enum import StrEnum

from advisor.agronomy.budget_figures import Budget, LoanTerms
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.fertiliser_figures import Fertilising
from advisor.agronomy.figures import Figure
from advisor.agronomy.harvest_figures import NitrogenLeft
from advisor.agronomy.inoculation_figures import Handling, Inoculation
from advisor.agronomy.labels import Currency, Label
from advisor.agronomy.land_figures import ProgrammeLand
from advisor.agronomy.packs import Pack
from advisor.agronomy.powder_measures import Measure
from advisor.agronomy.season_days import Variety, ZoneSeason


class BuyingRule(StrEnum):
    """Which of the two ways to a seed mass says what to buy."""

    RATE = "rate"
    POPULATION = "population"


@dataclass(frozen=True, slots=True)
class Zone:
    """A part of the programme's area with its own seasons.

    Args:
        key: short key that villages name it by.
        label: its name.
        nitrogen_left: what a legume leaves here for the next cereal, None where the crop's own figures hold.
    """

    key: str
    label: Label
    nitrogen_left: NitrogenLeft | None = None


@dataclass(frozen=True, slots=True)
class Village:
    """A village.

    Args:
        key: short key that records keep, for example ``v1``; it never changes.
        label: its name, at most 16 characters in every language.
        zone: key of the zone it lies in.
    """

    key: str
    label: Label
    zone: str


@dataclass(frozen=True, slots=True)
class Agent:
    """Whoever looks after growers.

    Args:
        key: short key that records keep; it never changes.
        label: name, at most 16 characters in every language.
        number: E.164 number of the phone that the agent works from.
        villages: keys of the villages whose growers are in this agent's care, unless a grower has another agent.
    """

    key: str
    label: Label
    number: str
    villages: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Spacing:
    """A spacing on offer.

    Args:
        row_m: distance between rows.
        hole_m: distance between holes in the row.
    """

    row_m: float
    hole_m: float


@dataclass(frozen=True, slots=True)
class SeedProduct:
    """Seed that dealers of the programme sell.

    Args:
        key: short key, never changed.
        crop: key of the crop.
        label: its name, at most 16 characters in every language.
        germination: germination that its label promises, 0 to 1.
        purity: pure seed by mass that its label promises, 0 to 1.
        packs: bags on sale; sizes in grams.
        scoop: the least that dealers weigh out loose, and its price; None where they sell whole bags only.
    """

    key: str
    crop: str
    label: Label
    germination: float
    purity: float
    packs: tuple[Pack, ...]
    scoop: Pack | None = None


@dataclass(frozen=True, slots=True)
class Inoculant:
    """Inoculant that dealers of the programme sell.

    Args:
        key: short key, never changed.
        crop: key of the crop whose strain it holds.
        label: its name, at most 16 characters in every language.
        dose_g_per_kg: grams for each kilogram of seed.
        water_ml_per_kg: water or sticker for each kilogram of seed.
        opened_life_days: whole days in which an opened pack must be used up.
        packs: packs on sale; sizes in grams.
        handling: clocks and powder of the product, None where the programme does not say.
    """

    key: str
    crop: str
    label: Label
    dose_g_per_kg: float
    water_ml_per_kg: float
    opened_life_days: int
    packs: tuple[Pack, ...]
    handling: Handling | None = None


@dataclass(frozen=True, slots=True)
class CropPlan:
    """How the programme grows one crop.

    Args:
        crop: key of the crop.
        label: its name.
        buying_rule: which way to a seed mass says what to buy.
        rate_kg_per_ha: handbook rate of sorted seed.
        rate_germination: germination that the rate assumes, 0 to 1.
        stand_per_m2: plants to stand after emergence.
        spacings: spacings on offer; the first is the usual one.
        spill: seed spilt at sowing, as a part of what the holes take; only the target stand needs it, since a
            handbook rate has it in already.
        sorting_loss: part of raw grain that sorting takes away, 0 to below 1.
        keep_back_germination: germination to assume of saved seed that is not tested yet.
        sown_per_day_m2: area that a household sows in a day with those who help it.
    """

    crop: str
    label: Label
    buying_rule: BuyingRule
    rate_kg_per_ha: float
    rate_germination: float
    stand_per_m2: float
    spacings: tuple[Spacing, ...]
    spill: float
    sorting_loss: float
    keep_back_germination: float
    sown_per_day_m2: float


@dataclass(frozen=True, slots=True)
class Programme:
    """One programme; every figure of a place is here and none is in code.

    Args:
        key: short key.
        name: what people call it.
        country_code: country calling code, digits only.
        trunk_prefix: what people dial in front of a local number, may be empty.
        number_length: digits of a local number after the trunk prefix.
        time_zone: name in the IANA database; whoever loads the file checks that it exists.
        currency: money that prices are in.
        languages: language codes, the first is the default.
        area_unit: key of the unit that people measure fields in.
        plot_low_m2: smallest plot advised on.
        plot_high_m2: largest plot advised on.
        area_step_m2: step in which an affordable area is looked for.
        step_m: length of a step where nobody has measured it.
        step_low_m: shortest step believed.
        step_high_m: longest step believed.
        step_error: part by which a measured step may be off, 0 to 1.
        rope_m: length of the rope that steps are measured on.
        purse_max: largest purse that can be given.
        quiet_from: local time from which nothing is sent.
        quiet_to: local time from which sending goes on.
        retention_days: whole days after which an unused record is erased.
        answer_segments: segments that the answer to an SMS in one line may take, 1 or 2, in UCS-2 one more; where
            prices are long it may not fit one, and each costs as much as a message.
        zones: zones, in the order of menus.
        villages: villages, in the order of menus.
        crops: plans of the crops; the first is the main crop.
        seeds: seed products; of each crop the first is recommended.
        inoculants: inoculants; of each crop the first is recommended.
        inoculation: hours and speed of sowing treated seed, None where the programme does not say.
        measures: spoons and caps that people have at hand.
        fertilising: needs, dealer's list and furrow, None where the programme does not say.
        land: local units, body measures, strips, stand check and saved seed, as far as the file has them.
        figures: where in the file a figure stands, and the figure with its source and mark.
        varieties: varieties on sale; of each crop the first is the usual one.
        seasons: when crops are sown in the zones.
        budgets: harvest and money of crops in the zones.
        loans: loans that growers can have.
        share_most: most growers who share packs around one scale, None where the programme does not say.
        bag_kg: grain in a full bag, None where the file does not say.
        holidays: whole days on which nothing is sent.
        segment_price: what one segment of an SMS costs the programme, None where it is not known.
        messages_per_day: most messages of rounds that a grower gets a day, 1 to 24.
        agents: agents, none where nobody works by phone.
    """

    key: str
    name: Label
    country_code: str
    trunk_prefix: str
    number_length: int
    time_zone: str
    currency: Currency
    languages: tuple[str, ...]
    area_unit: str
    plot_low_m2: float
    plot_high_m2: float
    area_step_m2: float
    step_m: float
    step_low_m: float
    step_high_m: float
    step_error: float
    rope_m: float
    purse_max: Decimal
    quiet_from: time
    quiet_to: time
    retention_days: int
    answer_segments: int
    zones: tuple[Zone, ...]
    villages: tuple[Village, ...]
    crops: tuple[CropPlan, ...]
    seeds: tuple[SeedProduct, ...]
    inoculants: tuple[Inoculant, ...]
    inoculation: Inoculation | None
    measures: tuple[Measure, ...]
    fertilising: Fertilising | None
    land: ProgrammeLand
    figures: tuple[tuple[str, Figure], ...]
    varieties: tuple[Variety, ...] = ()
    seasons: tuple[ZoneSeason, ...] = ()
    budgets: tuple[Budget, ...] = ()
    loans: tuple[LoanTerms, ...] = ()
    share_most: int | None = None
    bag_kg: float | None = None
    holidays: frozenset[date] = frozenset()
    messages_per_day: int = 3
    agents: tuple[Agent, ...] = ()
    segment_price: Decimal | None = None

    def plan(self, crop: str) -> CropPlan:
        """How a crop is grown. Raises MissingFigure when the programme does not grow it."""
        found = next((plan for plan in self.crops if plan.crop == crop), None)
        if found is None:
            raise MissingFigure(f"crops.{crop}", "add the crop to the programme file")
        return found

    def crop_label(self, crop: str) -> Label:
        """Name of a crop. Raises MissingFigure when the programme does not grow it."""
        return self.plan(crop).label

    def village(self, key: str) -> Village | None:
        """The village of that key, or None."""
        return next((village for village in self.villages if village.key == key), None)

    def agent(self, key: str) -> Agent | None:
        """The agent of that key, or None."""
        return next((agent for agent in self.agents if agent.key == key), None)

    def seed(self, crop: str) -> SeedProduct:
        """The recommended seed of a crop. Raises MissingFigure when none is on sale."""
        found = next((seed for seed in self.seeds if seed.crop == crop), None)
        if found is None:
            raise MissingFigure(f"seed of {crop}", "add a seed product of that crop to the programme file")
        return found

    def inoculant(self, crop: str) -> Inoculant:
        """The recommended inoculant of a crop. Raises MissingFigure when none is on sale."""
        found = next((inoculant for inoculant in self.inoculants if inoculant.crop == crop), None)
        if found is None:
            raise MissingFigure(
                f"inoculant of {crop}", "add an inoculant of that crop's strain to the programme file"
            )
        return found
