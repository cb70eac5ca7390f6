"""What a calculation need not be told: the figures of the programme, its crop, its zone, each with its source."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from advisor.agronomy.budget_figures import Budget, LoanTerms, budget_of
from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.fertiliser_figures import FertiliserProduct, Fertilising, Furrow, SoilClass, ZoneNeed
from advisor.agronomy.figures import Figure
from advisor.agronomy.harvest_figures import (
    GrainFigures,
    HarvestFigures,
    NitrogenLeft,
    NoduleScheme,
    YieldFigures,
)
from advisor.agronomy.inoculation_figures import Handling, Inoculation
from advisor.agronomy.leaf_signs import LeafSigns
from advisor.agronomy.onset_rules import OnsetRule, OnsetRules
from advisor.agronomy.placing import BodyMeasure
from advisor.agronomy.powder_measures import Measure
from advisor.agronomy.programme import CropPlan, Inoculant, Programme, SeedProduct, Zone
from advisor.agronomy.season_days import CropDays, Variety, ZoneSeason, zone_season
from advisor.agronomy.sources import Source
from advisor.agronomy.stand_check import StandRules
from advisor.agronomy.suitability import SoilLimits
from advisor.agronomy.units import FIGURE_UNITS

#: Tables of the programme file whose first row of the crop, and of the zone, is the one in use.
_ROWS: Mapping[str, str] = MappingProxyType(
    {"plan": "crops", "seed": "seeds", "inoculant": "inoculants", "budget": "budgets", "season": "seasons"}
)


@dataclass(frozen=True, slots=True)
class Used:
    """A figure in use.

    Args:
        place: where it stands: the file, a colon, the place in it.
        figure: the figure.
        citation: what its source is.
        url: address of the source, empty where there is none.
        zone: key of the zone that it is for, empty where it is for all.
    """

    place: str
    figure: Figure
    citation: str
    url: str
    zone: str = ""

    @property
    def value(self) -> float:
        """The figure in the unit that the calculator keeps it in."""
        return self.figure.value * FIGURE_UNITS[self.figure.unit][1]


@dataclass(frozen=True, slots=True)
class Known:
    """The programme and what of it a calculation is about.

    Args:
        programme: the programme.
        crop: the crop.
        zone: the zone.
        crops: all crops there are.
        leaf_signs: what is known of leaves, of every crop that has it.
        onset_rules: rules for the onset of the rains.
        sources: all sources.
    """

    programme: Programme
    crop: Crop
    zone: Zone
    crops: tuple[Crop, ...]
    leaf_signs: tuple[LeafSigns, ...]
    onset_rules: OnsetRules
    sources: tuple[Source, ...]

    def all_used(self) -> tuple[Used, ...]:
        """Every figure of every file."""
        files = (
            *((f"crop {crop.key}", crop.figures) for crop in self.crops),
            (f"programme {self.programme.key}", self.programme.figures),
            ("onset rules", self.onset_rules.figures),
        )
        sources = {source.key: source for source in self.sources}
        return tuple(
            Used(f"{file}: {place}", figure, source.citation, source.url, self._zone_of(place))
            for file, figures in files
            for place, figure in figures
            for source in (sources[figure.source],)
        )

    def _zone_of(self, place: str) -> str:
        """The zone of a row of the programme file, empty where the row is of no zone."""
        row = re.match(r"(?:fertilising\.)?(zones|seasons|budgets|needs)\[(\d+)\]", place)
        if not row:
            return ""
        table = self.programme.fertilising if row[1] == "needs" else self.programme
        found = getattr(table, row[1])[int(row[2]) - 1]
        return str(found.key if row[1] == "zones" else found.zone or "")

    def under(self, place: str) -> tuple[Used, ...]:
        """The figures at a place or right under it: ``crop:emergence``, ``plan:``, ``crop:harvest.grain.``."""
        start = self._start(place)
        ends = place.endswith((":", "."))
        return tuple(
            used
            for used in self.all_used()
            if used.place == start or (ends and used.place.startswith(start) and self._right_under(start, used))
        )

    def one(self, place: str) -> Used:
        """The figure at a place. Raises MissingFigure where the files have none."""
        found = self.under(place)
        if not found:
            raise MissingFigure(self._start(place), "give it as an option, or add it to that file")
        return found[0]

    def _start(self, place: str) -> str:
        file, _, inside = place.partition(":")
        if file == "crop":
            return f"crop {self.crop.key}: {inside}"
        if file == "rule":
            wanted = _season(self).onset_rule
            at = next((at for at, rule in enumerate(self.onset_rules.rules, 1) if rule.key == wanted), 0)
            return f"onset rules: rules[{at}].{inside}"
        if file in _ROWS:
            rows: Sequence[Any] = getattr(self.programme, _ROWS[file])
            at = next((at for at, row in enumerate(rows, 1) if self._is_of_here(row)), 0)
            inside = f"{_ROWS[file]}[{at or f'none of {self.crop.key}'}].{inside}"
        elif file == "zone":
            inside = f"zones[{self.programme.zones.index(self.zone) + 1}].{inside}"
        return f"programme {self.programme.key}: {inside}"

    def _is_of_here(self, row: Any) -> bool:
        return row.crop == self.crop.key and getattr(row, "zone", self.zone.key) == self.zone.key

    @staticmethod
    def _right_under(start: str, used: Used) -> bool:
        # Of the whole crop only its own figures, not those of its sections; of a section all of it.
        return not start.endswith(": ") or "." not in used.place.removeprefix(start)


def _harvest(known: Known) -> HarvestFigures:
    return _there(known.crop.harvest, "harvest", known)  # type: ignore[no-any-return]


def _there(value: Any, name: str, known: Known) -> Any:
    if not value:
        raise MissingFigure(f"{known.crop.key}.{name}", "add the section to the crop file or the programme file")
    return value


def _nitrogen(known: Known) -> NitrogenLeft:
    found = known.zone.nitrogen_left or _harvest(known).nitrogen_left
    return _there(found, "harvest.nitrogen_left", known)  # type: ignore[no-any-return]


def _signs(known: Known) -> LeafSigns:
    found = next((signs for signs in known.leaf_signs if signs.crop == known.crop.key), None)
    if found is None:
        there = ", ".join(signs.crop for signs in known.leaf_signs)
        raise MissingFigure(
            f"{known.crop.key}.leaf_signs", f"add leaf_signs/{known.crop.key}.toml to the data; there are {there}"
        )
    return found


def _season(known: Known) -> ZoneSeason:
    return zone_season(known.programme.seasons, known.crop.key, known.zone.key)


def _varieties(known: Known) -> tuple[Variety, ...]:
    return tuple(variety for variety in known.programme.varieties if variety.crop == known.crop.key)


def _partners(known: Known) -> tuple[Crop, ...]:
    """The crops of the programme's partners, in its order."""
    keys = [partner.crop for partner in known.programme.land.partners]
    return tuple(sorted((crop for crop in known.crops if crop.key in keys), key=lambda crop: keys.index(crop.key)))


def _budget(known: Known) -> Budget:
    return budget_of(known.programme.budgets, known.crop.key, known.zone.key)


def _fertilising(known: Known) -> Fertilising:
    return _there(known.programme.fertilising, "fertilising", known)  # type: ignore[no-any-return]


@dataclass(frozen=True, slots=True)
class Provided:
    """How a type of argument is had without asking.

    Args:
        get: gets it.
        places: where its figures stand, of the first that has any.
        all_places: whether it is those of every place.
    """

    get: Callable[[Known], Any]
    places: tuple[str, ...] = ()
    all_places: bool = False

    def figures(self, known: Known) -> tuple[Used, ...]:
        """The figures that it rests on."""
        found = [used for place in self.places if (used := known.under(place))]
        return tuple(used for each in (found if self.all_places else found[:1]) for used in each)


@dataclass(frozen=True, slots=True)
class Chosen:
    """How a type of argument is chosen among rows, the first of which is the usual one.

    Args:
        option: name of the option that names a row by its key.
        rows: the rows there are.
        place: where the rows stand.
    """

    option: str
    rows: Callable[[Known], Sequence[Any]]
    place: str

    def row(self, known: Known, key: str | None) -> tuple[Any, str]:
        """The row of a key, else the first, and where its figures stand. Raises MissingFigure without one."""
        rows = self.rows(known)
        found = next(((at, row) for at, row in enumerate(rows, 1) if key in (None, row.key)), None)
        if found is None:
            there = ", ".join(row.key for row in rows) or "none yet"
            raise MissingFigure(f"{self.place.partition(':')[2]} {key or ''}".strip(), f"name one of: {there}")
        return found[1], f"{self.place}[{found[0]}]."


#: Stands for the key of the crop, which is a text and no type of its own.
CROP_KEY = "the crop"
#: Stands for the crop beside which another is sown, which is a crop too.
PARTNER = "the partner"

#: What is had without asking, by the type of the argument.
PROVIDED: Mapping[Any, Provided] = MappingProxyType(
    {
        Crop: Provided(lambda known: known.crop, ("crop:",)),
        CROP_KEY: Provided(lambda known: known.crop.key),
        Programme: Provided(lambda known: known.programme, ("plan:", "seed:", "inoculant:")),
        CropPlan: Provided(lambda known: known.programme.plan(known.crop.key), ("plan:",)),
        SeedProduct: Provided(lambda known: known.programme.seed(known.crop.key), ("seed:",)),
        Inoculant: Provided(lambda known: known.programme.inoculant(known.crop.key), ("inoculant:",)),
        YieldFigures: Provided(
            lambda known: _there(_harvest(known).yields, "harvest.yield", known), ("crop:harvest.yield.",)
        ),
        GrainFigures: Provided(
            lambda known: _there(_harvest(known).grain, "harvest.grain", known), ("crop:harvest.grain.",)
        ),
        NitrogenLeft: Provided(_nitrogen, ("zone:nitrogen_left.", "crop:harvest.nitrogen_left.")),
        LeafSigns: Provided(_signs),
        Inoculation: Provided(
            lambda known: _there(known.programme.inoculation, "inoculation", known), ("programme:inoculation.",)
        ),
        Handling: Provided(
            lambda known: _there(known.programme.inoculant(known.crop.key).handling, "handling", known),
            ("inoculant:handling.",),
        ),
        StandRules: Provided(
            lambda known: _there(known.programme.land.stand, "stand_check", known), ("programme:stand_check.",)
        ),
        Mapping[str, float]: Provided(lambda known: known.programme.land.unit_m2),
        Sequence[BodyMeasure]: Provided(lambda known: known.programme.land.measures),
        Sequence[Measure]: Provided(lambda known: known.programme.measures),
        Sequence[FertiliserProduct]: Provided(lambda known: _fertilising(known).products),
        ZoneNeed: Provided(
            lambda known: _fertilising(known).need(known.crop.key, known.zone.key),
            ("programme:fertilising.needs",),
        ),
        Sequence[SoilClass]: Provided(lambda known: _fertilising(known).soil_classes_of(known.crop.key)),
        Furrow: Provided(lambda known: _fertilising(known).furrow, ("programme:fertilising.furrow.",)),
        CropDays: Provided(lambda known: _there(known.crop.days, "calendar", known), ("crop:calendar.",)),
        Sequence[Variety]: Provided(lambda known: known.programme.varieties),
        ZoneSeason: Provided(_season, ("season:",)),
        Budget: Provided(_budget, ("budget:",)),
        Zone: Provided(
            lambda known: known.zone,
            (
                *("season:", "budget:", "crop:calendar.", "programme:fertilising.", "programme:inoculation."),
                *("inoculant:handling.", "programme:stand_check.", "programme:row_work."),
            ),
            all_places=True,
        ),
        SoilLimits: Provided(lambda known: _there(known.crop.soil, "soil", known), ("crop:soil.",)),
        OnsetRule: Provided(lambda known: known.onset_rules.rule(_season(known).onset_rule), ("rule:",)),
    }
)

#: What is chosen among rows, by the type of the argument.
CHOSEN: Mapping[Any, Chosen] = MappingProxyType(
    {
        NoduleScheme: Chosen("scheme", lambda known: _harvest(known).nodules, "crop:harvest.nodules"),
        Variety: Chosen("variety", _varieties, "programme:varieties"),
        LoanTerms: Chosen("loan", lambda known: known.programme.loans, "programme:loans"),
        PARTNER: Chosen("partner", _partners, "programme:partners"),
        FertiliserProduct: Chosen(
            "product", lambda known: _fertilising(known).products, "programme:fertilising.products"
        ),
        Measure: Chosen("measure", lambda known: known.programme.measures, "programme:measures"),
    }
)

#: What else of the programme may stand in for an option, as its help says it.
STAND_INS: Mapping[str, Callable[[Known], Any]] = MappingProxyType(
    {
        "packs of the seed": lambda known: known.programme.seed(known.crop.key).packs,
        "packs of the inoculant": lambda known: known.programme.inoculant(known.crop.key).packs,
        "the programme's": lambda known: known.programme.currency.decimals,
        CROP_KEY: lambda known: known.crop.key,
    }
)

#: Where a number stands that is not given, by the name of the argument.
FIGURES: Mapping[str, str] = MappingProxyType(
    {
        "tsw_g": "crop:thousand_seed_weight",
        "emergence": "crop:emergence",
        "bed_emergence": "crop:bed_emergence",
        "good_over_percent": "crop:good_over",
        "poor_under_percent": "crop:poor_under",
        "refuse_under_percent": "crop:refuse_under",
        "firm_from_seeds": "crop:firm_from",
        "least_seeds": "crop:least",
        "most_seeds": "crop:most",
        "trade_percent": "crop:harvest.grain.trade",
        "rate_kg_per_ha": "plan:rate",
        "rate_germination": "plan:rate_germination",
        "stand": "plan:stand",
        "target_per_m2": "plan:stand",
        "spill": "plan:spill",
        "sorting_loss": "plan:sorting_loss",
        "sown_per_day_m2": "plan:sown_per_day",
        "row_m": "plan:spacings[1].row",
        "hole_m": "plan:spacings[1].hole",
        "dose_g_per_kg": "inoculant:dose",
        "water_ml_per_kg": "inoculant:water",
        "opened_life_days": "inoculant:opened_life",
        "step_m": "programme:field.step",
        "step_error": "programme:field.step_error",
        "rope_m": "programme:field.rope",
        "bag_kg": "programme:harvest.bag",
        "margin_m": "programme:row_work.margin",
        "tied_m": "programme:row_work.tied",
        "person_m2_per_s": "programme:inoculation.sown_by_one",
        "day_s": "programme:row_work.hours",
        "replace_after": "programme:saved_seed.replace_after",
        "spare": "programme:saved_seed.spare",
        "kernel_part": "crop:shell.kernels",
        "bulk_g_per_ml": "inoculant:handling.bulk_density",
        "over_dose": "inoculant:handling.over_dose",
        "credit_part": "programme:fertilising.credit_part",
        "p2o5_g_per_kg": "crop:removal.p2o5",
        "ratio_enough": "budget:ratio_enough",
    }
)


def distinct(used: Iterable[Used]) -> tuple[Used, ...]:
    """Each figure once, in order."""
    return tuple(dict.fromkeys(used))
