"""The binding: what flow files may name, filled from the programme, its crops and its languages."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from advisor.advice.bags import bags
from advisor.advice.bags import conditions as bag_conditions
from advisor.advice.buying import buying, conditions, spacing_key
from advisor.advice.choosing_seed import choosing_seed
from advisor.advice.choosing_seed import conditions as choosing_conditions
from advisor.advice.fertilising import conditions as fertilising_conditions
from advisor.advice.fertilising import fertilisers, fertilising, soil_words
from advisor.advice.fields import conditions as field_conditions
from advisor.advice.fields import fields
from advisor.advice.glancing import conditions as glancing_conditions
from advisor.advice.glancing import glancing
from advisor.advice.harvesting import harvesting
from advisor.advice.inoculating import conditions as inoculating_conditions
from advisor.advice.inoculating import inoculating
from advisor.advice.keeping_seed import keeping_seed
from advisor.advice.leaves import conditions as leaves_conditions
from advisor.advice.leaves import leaves
from advisor.advice.measuring import measuring
from advisor.advice.paying import conditions as paying_conditions
from advisor.advice.paying import paying
from advisor.advice.roots import conditions as roots_conditions
from advisor.advice.roots import roots
from advisor.advice.season import conditions as season_conditions
from advisor.advice.season import season, varieties
from advisor.advice.seed_testing import conditions as seed_testing_conditions
from advisor.advice.seed_testing import seed_testing
from advisor.advice.siting import conditions as siting_conditions
from advisor.advice.siting import siting
from advisor.advice.sowing import conditions as sowing_conditions
from advisor.advice.sowing import sowing
from advisor.advice.standing import conditions as standing_conditions
from advisor.advice.standing import standing
from advisor.advice.storing import conditions as storing_conditions
from advisor.advice.storing import storing
from advisor.advice.two_crops import conditions as two_crops_conditions
from advisor.advice.two_crops import partners, two_crops, young_crops
from advisor.advice.weeding import conditions as weeding_conditions
from advisor.advice.weeding import weeding
from advisor.advice.working import conditions as working_conditions
from advisor.advice.worth import conditions as worth_conditions
from advisor.advice.worth import worth
from advisor.agronomy.crop import Crop
from advisor.agronomy.labels import Label
from advisor.agronomy.leaf_signs import LeafSigns
from advisor.agronomy.programme import Programme
from advisor.dialogue.registry import Condition, Registry
from advisor.wording import measures
from advisor.wording.folding import folded
from advisor.wording.kinds import Area, Money
from advisor.wording.voice import Voice


def _local_areas(programme: Programme, voices: Sequence[Voice]) -> Iterator[tuple[str, float]]:
    """Every way of naming a local unit: its key and its name in each language."""
    for unit in programme.land.units:
        for name in (unit.key, *(unit.label.in_language(voice.language) for voice in voices)):
            yield folded(name), unit.m2


def registry_for(
    programme: Programme, crops: Sequence[Crop], voices: Sequence[Voice], signs: Sequence[LeafSigns] = ()
) -> Registry:
    """Everything that flows of a programme may name.

    Args:
        programme: the programme; its first crop is the one that lists are for.
        crops: data of the crops.
        voices: the programme's languages, in its order.
        signs: what is known of the crops' leaves.
    """
    main = next(crop for crop in crops if crop.key == programme.crops[0].crop)
    has_agreed = Condition("has_agreed", (), lambda sight: sight.get("grower.agreed") is True)
    has_not_agreed = Condition("has_not_agreed", (), lambda sight: sight.get("grower.agreed") is not True)
    has_stopped = Condition("has_stopped", (), lambda sight: sight.get("grower.stopped") is True)
    plan = programme.plan(main.key)
    spacings = tuple((spacing_key(spacing), Label(spacing_key(spacing))) for spacing in plan.spacings)
    unit_names = tuple((voice.language, measures.unit_name(programme.area_unit, voice)) for voice in voices)
    return Registry(
        calculations=(
            *measuring(programme, Label(unit_names[0][1], unit_names)),
            *fields(programme),
            *bags(programme, main),
            *buying(programme, main),
            *inoculating(programme, main),
            *season(programme, main),
            *glancing(programme, main),
            *sowing(programme, main),
            *weeding(programme, main),
            *standing(programme, main),
            *choosing_seed(programme, main),
            *harvesting(programme, main),
            *storing(programme, main),
            *keeping_seed(programme, main),
            *fertilising(programme, main),
            *siting(programme, main),
            *worth(programme, main),
            *paying(programme, main),
            *two_crops(programme, main, tuple(crops)),
            *seed_testing(programme, main),
            *roots(programme, main),
            *leaves(signs, main),
        ),
        conditions=(
            has_agreed,
            has_not_agreed,
            has_stopped,
            *field_conditions(),
            *bag_conditions(),
            *conditions(),
            *inoculating_conditions(programme, main),
            *season_conditions(),
            *glancing_conditions(),
            *sowing_conditions(),
            *weeding_conditions(),
            *standing_conditions(),
            *choosing_conditions(),
            *storing_conditions(),
            *fertilising_conditions(),
            *siting_conditions(),
            *worth_conditions(),
            *paying_conditions(),
            *two_crops_conditions(),
            *seed_testing_conditions(),
            *roots_conditions(),
            *leaves_conditions(signs),
            *working_conditions(),
        ),
        lists=(
            ("languages", tuple((voice.language, Label(voice.glossary.own_name)) for voice in voices)),
            ("villages", tuple((village.key, village.label) for village in programme.villages)),
            ("spacings", spacings),
            ("soil_words", soil_words(programme, main)),
            ("fertilisers", fertilisers(programme)),
            ("partners", partners(programme)),
            ("young_crops", young_crops(programme)),
            ("measures", tuple((each.key, each.label) for each in programme.measures)),
            ("varieties", varieties(programme, main)),
            ("loans", tuple((loan.key, loan.label) for loan in programme.loans)),
        ),
        area=Area(programme.plot_low_m2, programme.plot_high_m2),
        money=Money(Decimal(1), programme.purse_max),
        fewest_seeds=main.least_seeds,
        local_areas=tuple(dict.fromkeys(_local_areas(programme, voices))),
    )
