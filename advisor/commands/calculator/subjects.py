"""What figures are called and which come together on a page: subjects in the order of a season.

A figure stands under its place without the numbers of rows: ``crop: calendar.weedings.day``. What is not named
here comes last on the page, under its place.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Subject:
    """Figures that belong together.

    Args:
        title: heading.
        told: what they are for, in a sentence.
        names: what each figure is called, by its place without the numbers of rows.
    """

    title: str
    told: str
    names: Mapping[str, str]


def _subject(title: str, told: str, **files: Mapping[str, str]) -> Subject:
    kinds = {"rule": "onset rules"}
    names = {
        f"{kinds.get(file, file)}: {place}": name for file, rows in files.items() for place, name in rows.items()
    }
    return Subject(title, told, MappingProxyType(names))


SUBJECTS: tuple[Subject, ...] = (
    _subject(
        "Field",
        "How large a field may be and how it is paced.",
        programme={
            "field.plot_low": "smallest field",
            "field.plot_high": "largest field",
            "field.area_step": "areas that a purse pays for go in steps of",
            "field.units.m2": "local unit of area",
            "field.step": "step of somebody who has not walked the rope",
            "field.step_low": "shortest step that is believed",
            "field.step_high": "longest step that is believed",
            "field.step_error": "a step may be off by this part of itself",
            "field.rope": "rope that steps are counted along",
        },
    ),
    _subject(
        "Rows, spacing and depth",
        "Where seeds go, and what the hand measures it with.",
        crop={
            "sowing.row": "between rows, where the programme says nothing else",
            "sowing.hole": "between holes, where the programme says nothing else",
            "sowing.plants": "plants a hole, where the programme says nothing else",
            "sowing.depth_low": "least depth of seed",
            "sowing.depth_high": "greatest depth of seed",
        },
        programme={
            "crops.spacings.row": "between rows",
            "crops.spacings.hole": "between holes",
            "row_work.margin": "left free at the edge of the field",
            "row_work.tied": "string for tying to the pegs, at each row",
            "body_measures.length": "body measure",
        },
    ),
    _subject(
        "Testing seed",
        "How many seeds are put out, when they are counted and what the count means.",
        crop={
            "least": "fewest seeds that give an answer",
            "firm_from": "fewest seeds that give a firm answer",
            "most": "most seeds in a test",
            "counts.first": "seedlings are counted first after",
            "counts.final": "seedlings are counted for the last time after",
            "counts.seeds": "seeds to put out",
            "counts.late": "a count says nothing any more, this long after the last",
            "good_over": "good above",
            "poor_under": "poor below",
            "refuse_under": "not to be sown below",
            "emergence": "part of germinating seeds that comes up, after a test on paper or cloth",
            "bed_emergence": "part of germinating seeds that comes up, after a test in soil",
        },
    ),
    _subject(
        "How much seed",
        "The rate, the stand and what is lost on the way.",
        crop={
            "thousand_seed_weight": "mass of a thousand seeds",
            "seeds_per_hole_max": "most seeds in a hole",
            "shell.kernels": "kernels in a kilogram of pods, as a part",
        },
        programme={
            "crops.rate": "seed rate",
            "crops.rate_germination": "germination that the rate is meant for",
            "crops.stand": "plants that should stand",
            "crops.spill": "seed spilt, as a part",
            "crops.sorting_loss": "saved seed lost in sorting, as a part",
            "crops.keep_back_germination": "germination assumed of saved seed that is not tested yet",
            "seeds.germination": "germination of bought seed",
            "seeds.purity": "purity of bought seed",
            "saved_seed.replace_after": "seasons after which saved seed is replaced",
            "saved_seed.spare": "more seed to keep at harvest, as a part",
            "saved_seed.next_germination": "germination counted on next season",
        },
    ),
    _subject(
        "Strips with a partner",
        "Rows of the legume beside rows of a cereal.",
        crop={
            "shade.edge_factor": "yield of a legume's row right beside it, as a part",
            "young.clearance": "room on either side of a row while it is young",
        },
        programme={
            "partners.row": "between rows of the partner",
            "partners.hole": "between holes of the partner",
            "partners.seeds": "seeds in a hole of the partner",
            "partners.rows": "rows of the partner in a strip",
            "partners.rows_beside": "rows of the legume in a strip",
            "young_crops.clearance": "room on either side of a row of a young crop that takes long",
            "young_crops.until": "a legume is sown between it for so long after its planting",
        },
    ),
    _subject(
        "Work",
        "What one person sows in an hour, how long a day is, and what a household with its helpers does in a day.",
        programme={
            "inoculation.sown_by_one": "sown by one person by hand",
            "row_work.hours": "one person works in the rows on a day for",
            "row_work.weeded_by_one": "one person weeds with a hoe",
            "crops.sown_per_day": "sown in a day by a household with its helpers",
        },
    ),
    _subject(
        "Inoculant",
        "Dose, water and the time that the bacteria live.",
        programme={
            "inoculants.dose": "dose for a kilogram of seed",
            "inoculants.water": "water for a kilogram of seed",
            "inoculants.opened_life": "life of an opened pack",
            "inoculants.handling.drying": "treated seed dries in shade for",
            "inoculants.handling.life": "life of treated seed",
            "inoculants.handling.bulk_density": "mass of a millilitre",
            "inoculants.handling.store_below": "packs are kept cooler than",
            "inoculants.handling.over_dose": "a level measure may be over the dose by this part",
            "inoculation.morning_from": "sowing in the morning from, hour of the day",
            "inoculation.morning_to": "sowing in the morning to, hour of the day",
            "inoculation.evening_from": "sowing in the evening from, hour of the day",
            "inoculation.evening_to": "sowing in the evening to, hour of the day",
            "measures.volume": "a level measure holds",
            "sharing.most": "most growers who share packs",
        },
    ),
    _subject(
        "Fertiliser",
        "What a zone needs, what products hold and where they go.",
        crop={"removal.p2o5": "P2O5 that a kilogram of grain takes away"},
        programme={
            "fertilising.needs.p2o5": "phosphorus that the crop needs",
            "fertilising.needs.k2o": "potassium that the crop needs",
            "fertilising.needs.n_limit": "most nitrogen at sowing",
            "fertilising.soil_classes.from": "class of a soil test begins at",
            "fertilising.soil_classes.p2o5": "phosphorus that a class needs",
            "fertilising.credit_part": "part of last season's surplus that counts",
            "fertilising.products.n": "nitrogen in a product",
            "fertilising.products.p2o5": "phosphorus in a product",
            "fertilising.products.k2o": "potassium in a product",
            "fertilising.products.bulk_density": "mass of a millilitre of a product",
            "fertilising.furrow.from": "least depth of the furrow",
            "fertilising.furrow.to": "greatest depth of the furrow",
            "fertilising.furrow.cover": "soil between fertiliser and seed",
            "fertilising.furrow.beside": "from the seed, where it lies in a furrow or hole of its own",
            "fertilising.furrow.cap_tolerance": "what caps spread may be off by this part",
        },
    ),
    _subject(
        "Soil that suits the crop",
        "Below and above, nodules fail.",
        crop={"soil.ph_low": "lowest pH", "soil.ph_high": "highest pH"},
    ),
    _subject(
        "Calendar",
        "Days before sowing, days from sowing on, and days of the year.",
        crop={
            "calendar.test_from": "seed test from, days before sowing",
            "calendar.test_to": "seed test to, days before sowing",
            "calendar.buy_by": "everything bought, days before sowing",
            "calendar.pick_up": "inoculant picked up, days before sowing",
            "calendar.retest_after": "a test counts for",
            "calendar.emergence_from": "comes up from, days from sowing",
            "calendar.emergence_to": "comes up to, days from sowing",
            "calendar.weedings.day": "weeding, days from sowing",
            "calendar.nodules_from": "nodules dug up from, days from sowing",
            "calendar.nodules_to": "nodules dug up to, days from sowing",
            "calendar.flowering": "flowers, days from sowing",
            "calendar.dry_down": "days before maturity from which rain does more harm than good",
            "calendar.harvest_within": "harvested within so many days of maturity",
            "calendar.drying": "dries for",
        },
        programme={
            "varieties.maturity_from": "ripe from, days from sowing",
            "varieties.maturity_to": "ripe to, days from sowing",
            "seasons.opens": "sowing from",
            "seasons.closes": "sowing to",
            "seasons.rains_end": "rains end",
            "seasons.slowed_by": "cool soil stretches days by this factor",
        },
    ),
    _subject(
        "Rain",
        "When the rains have begun, and when the soil is wet enough to sow.",
        programme={
            "seasons.sowing_rain": "rain that wets the soil for sowing",
            "seasons.sowing_rain_within": "that rain falls within",
            "seasons.moist_for": "the soil stays moist for",
        },
        rule={
            "rules.begins": "the rule looks from",
            "rules.wet": "rain that begins the season",
            "rules.wet_within": "that rain falls within",
            "rules.longest_dry": "longest dry spell that is allowed",
            "rules.watched": "days that are watched after it",
            "rules.more": "rain that must follow",
            "rules.dry_under": "a day is dry below",
        },
    ),
    _subject(
        "Stand after emergence",
        "Leave it, fill gaps or sow again.",
        programme={
            "stand_check.leave_over": "left alone above this part of the target",
            "stand_check.resow_under": "sown again below this part of the target",
            "stand_check.fill_days": "gaps filled up to, days from sowing",
            "stand_check.resow_days": "sown again up to, days from sowing",
        },
    ),
    _subject(
        "Nodules",
        "How guides score roots; they differ, and the first of a crop is in use.",
        crop={
            "harvest.nodules.enough": "nodules that are enough",
            "harvest.nodules.none_under": "none to speak of below",
            "harvest.nodules.least_plants": "fewest plants dug up",
            "harvest.nodules.most_nodules": "most nodules that are believed",
            "harvest.nodules.rescue_low": "dressing that the guide gives where nodules fail, least",
            "harvest.nodules.rescue_high": "dressing that the guide gives where nodules fail, most",
        },
    ),
    _subject(
        "Yield before harvest",
        "From plants, pods and seeds.",
        crop={
            "harvest.yield.seeds_per_pod": "seeds in a pod, where nobody counted",
            "harvest.yield.seeds_per_pod_most": "most seeds in a pod that are believed",
            "harvest.yield.pods_per_plant_most": "most pods on a plant that are believed",
            "harvest.yield.stand_most": "largest stand that is believed",
            "harvest.yield.loss_low": "lost in a careful harvest, as a part",
            "harvest.yield.loss_high": "lost in a usual harvest, as a part",
            "harvest.yield.plausible": "highest yield that is believed",
        },
        programme={"harvest.bag": "a bag of grain"},
    ),
    _subject(
        "Grain and its moisture",
        "How dry for what, and how long it keeps.",
        crop={
            "harvest.grain.trade": "moisture that the trade pays for",
            "harvest.grain.grain": "moisture of stored grain, at most",
            "harvest.grain.seed": "moisture of stored seed, at most",
            "harvest.grain.jar_low": "salt in a jar always stays dry below",
            "harvest.grain.jar_high": "salt in a jar always sticks above",
            "harvest.grain.thresh_low": "threshed at a moisture from",
            "harvest.grain.thresh_high": "threshed at a moisture to",
            "harvest.grain.halved_by_moisture": "so much wetter halves the life of seed",
            "harvest.grain.halved_by_warmth": "so much warmer halves the life of seed",
            "harvest.grain.storage.keeps": "grain keeps for",
        },
    ),
    _subject(
        "Nitrogen left for the next cereal",
        "Next to nothing where the straw leaves the field.",
        crop={
            "harvest.nitrogen_left.returned_low": "straw returned, least",
            "harvest.nitrogen_left.returned_high": "straw returned, most",
            "harvest.nitrogen_left.removed_low": "straw taken away, least",
            "harvest.nitrogen_left.removed_high": "straw taken away, most",
        },
        programme={
            "zones.nitrogen_left.returned_low": "straw returned, least",
            "zones.nitrogen_left.returned_high": "straw returned, most",
            "zones.nitrogen_left.removed_low": "straw taken away, least",
            "zones.nitrogen_left.removed_high": "straw taken away, most",
        },
    ),
    _subject(
        "Money",
        "Harvests that are counted on and what loans cost. Prices have no source and stand in the programme file.",
        programme={
            "budgets.harvest_low": "harvest in a poor season",
            "budgets.harvest_middle": "harvest in a usual season",
            "budgets.harvest_high": "harvest in a good season",
            "budgets.demonstration": "what demonstrations show, never counted on",
            "budgets.part_half_p": "harvest with half the phosphorus, as a part",
            "budgets.part_no_p": "harvest without phosphorus, as a part",
            "budgets.ratio_enough": "value-cost ratio that is enough",
            "loans.rate": "interest",
            "loans.months_apart": "between instalments",
        },
    ),
)
