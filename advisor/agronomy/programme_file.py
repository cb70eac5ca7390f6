"""Reading a programme from its file, and finding what in it contradicts itself."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from advisor.agronomy.budget_figures import read_budgets, read_loans
from advisor.agronomy.crop import Crop
from advisor.agronomy.fertiliser_figures import read_fertilising
from advisor.agronomy.harvest_figures import read_nitrogen_left
from advisor.agronomy.inoculation_figures import read_handling, read_inoculation
from advisor.agronomy.labels import Currency
from advisor.agronomy.land_figures import read_programme_land
from advisor.agronomy.limits import whole_up
from advisor.agronomy.packs import Pack
from advisor.agronomy.powder_measures import read_measures
from advisor.agronomy.programme import (
    Agent,
    BuyingRule,
    CropPlan,
    Inoculant,
    Programme,
    SeedProduct,
    Spacing,
    Village,
    Zone,
)
from advisor.agronomy.season_days import CropDays, ZoneSeason, read_varieties, read_zone_seasons
from advisor.agronomy.sharing import read_share_most
from advisor.agronomy.sources import Source
from advisor.agronomy.tables import Table, read_table
from advisor.agronomy.units import AREA_M2, HECTARE_M2

#: ITU-T E.164 (2010), 6.1: fifteen digits with the country code.
_MOST_DIGITS = 15
_LEAST_DIGITS = 8
#: More holidays than any year has; whoever gives more has written down the days on which to send.
_HOLIDAYS_MOST = 120
#: A segment may cost less than the smallest coin.
_PRICE_DECIMALS = 4


def read_programme(text: str, crops: Sequence[Crop], sources: Sequence[Source]) -> Programme:
    """A programme from its file.

    Args:
        text: TOML; the demonstration programme shows every key.
        crops: crops that the programme may grow.
        sources: sources that its figures may name.

    Returns:
        The programme.

    Raises:
        DataFault: everything that is wrong with the file, at once.

    Source:
        The project's own file format.

    >>> from advisor.agronomy.errors import DataFault
    >>> try:
    ...     read_programme('key = "x', (), ())
    ... except DataFault as fault:
    ...     fault.file
    'programme'
    """
    table = read_table(text, "programme", {source.key: bool(source.url) for source in sources})
    languages = table.texts("languages")
    currency = _currency(table.row("currency"))
    harvest = table.optional_row("harvest")
    field = table.row("field")
    crop_keys = [crop.key for crop in crops]
    zones = tuple(_zone(row, languages) for row in table.rows("zones"))
    zone_keys = [zone.key for zone in zones]
    programme = Programme(
        key=table.text("key", longest=16),
        name=table.label("name", languages),
        country_code=table.digits("country_code", longest=3),
        trunk_prefix=table.digits("trunk_prefix", longest=3, default=""),
        number_length=table.whole("number_length", 4, 14),
        time_zone=table.text("time_zone"),
        currency=currency,
        languages=languages,
        area_unit=field.one_of("area_unit", tuple(AREA_M2)),
        plot_low_m2=field.quantity("plot_low", "m2", 1, 1e8),
        plot_high_m2=field.quantity("plot_high", "m2", 1, 1e8),
        area_step_m2=field.quantity("area_step", "m2", 1, 1e6),
        step_m=field.quantity("step", "m", 0.1, 2),
        step_low_m=field.quantity("step_low", "m", 0.1, 2),
        step_high_m=field.quantity("step_high", "m", 0.1, 2),
        step_error=field.quantity("step_error", "1", 0, 0.5),
        rope_m=field.quantity("rope", "m", 1, 200),
        purse_max=table.money("purse_max", currency.decimals),
        quiet_from=table.clock("quiet_from"),
        quiet_to=table.clock("quiet_to"),
        holidays=table.optional_days("holidays", _HOLIDAYS_MOST),
        messages_per_day=table.whole("messages_per_day", 1, 24, default=3),
        retention_days=table.whole("retention_days", 1, 36500),
        segment_price=table.money("segment_price", _PRICE_DECIMALS) if table.has("segment_price") else None,
        answer_segments=table.whole("answer_segments", 1, 2, default=1),
        zones=zones,
        villages=tuple(_village(row, languages) for row in table.rows("villages")),
        agents=tuple(_agent(row, languages) for row in table.optional_rows("agents")),
        crops=tuple(_plan(row, languages, crop_keys) for row in table.rows("crops")),
        seeds=tuple(_seed(row, languages, currency) for row in table.rows("seeds")),
        inoculants=tuple(_inoculant(row, languages, currency) for row in table.rows("inoculants")),
        inoculation=read_inoculation(table.optional_row("inoculation")),
        measures=read_measures(table.optional_rows("measures"), languages),
        fertilising=read_fertilising(table.optional_row("fertilising"), languages, currency, crop_keys, zone_keys),
        varieties=read_varieties(table, languages, crop_keys),
        seasons=read_zone_seasons(table, zone_keys, crop_keys),
        budgets=read_budgets(table, languages, zone_keys, crop_keys, currency),
        loans=read_loans(table, languages),
        share_most=read_share_most(table),
        bag_kg=harvest.quantity("bag", "kg", 1, 1000) if harvest else None,
        land=read_programme_land(table, field, languages, crop_keys),
        figures=table.figures,
    )
    field.rising(("plot_low", programme.plot_low_m2), ("plot_high", programme.plot_high_m2))
    field.rising(
        ("step_low", programme.step_low_m), ("step", programme.step_m), ("step_high", programme.step_high_m)
    )
    if len(programme.country_code) + programme.number_length > _MOST_DIGITS:
        table.fault(
            "number_length",
            f"is {programme.number_length}, behind country code {programme.country_code}",
            f"a number has {_MOST_DIGITS} digits at most with its country code",
        )
    _note_contradictions(table, programme)
    if table.is_sound:
        _note_strangers(table, programme)
    if table.is_sound:
        _note_spacings(table, programme, crops)
        _note_late_gaps(table, programme, crops)
        _note_varieties(table, programme, crops)
    table.finish()
    return programme


def _currency(row: Table) -> Currency:
    return Currency(row.text("symbol", longest=4), row.whole("decimals", 0, 2))


def _zone(row: Table, languages: Sequence[str]) -> Zone:
    left = read_nitrogen_left(row.optional_row("nitrogen_left"))
    return Zone(row.text("key", longest=16), row.label("label", languages), left)


def _village(row: Table, languages: Sequence[str]) -> Village:
    return Village(row.text("key", longest=16), row.label("label", languages), row.text("zone", longest=16))


def _agent(row: Table, languages: Sequence[str]) -> Agent:
    number = row.text("number", longest=_MOST_DIGITS + 1)
    if not (
        number.startswith("+") and number[1:].isascii() and number[1:].isdecimal() and len(number) > _LEAST_DIGITS
    ):
        row.fault("number", f"is {number!r}", "give + and country code, digits only")
    return Agent(row.text("key", longest=16), row.label("label", languages), number, row.texts("villages"))


def _plan(row: Table, languages: Sequence[str], crop_keys: Sequence[str]) -> CropPlan:
    return CropPlan(
        crop=row.one_of("crop", crop_keys),
        label=row.label("label", languages),
        buying_rule=BuyingRule(row.one_of("buying_rule", tuple(BuyingRule))),
        rate_kg_per_ha=row.quantity("rate", "kg/ha", 0.1, 500),
        rate_germination=row.quantity("rate_germination", "1", 0.05, 1),
        stand_per_m2=row.quantity("stand", "plants/m2", 0.1, 1000),
        spacings=tuple(
            Spacing(spacing.quantity("row", "m", 0.05, 5), spacing.quantity("hole", "m", 0.01, 5))
            for spacing in row.rows("spacings")
        ),
        spill=row.quantity("spill", "1", 0, 0.5),
        sorting_loss=row.quantity("sorting_loss", "1", 0, 0.9),
        keep_back_germination=row.quantity("keep_back_germination", "1", 0.05, 1),
        sown_per_day_m2=row.quantity("sown_per_day", "m2/day", 1, 1e7),
    )


def _seed(row: Table, languages: Sequence[str], currency: Currency) -> SeedProduct:
    return SeedProduct(
        key=row.text("key", longest=16),
        crop=row.text("crop", longest=16),
        label=row.label("label", languages),
        germination=row.quantity("germination", "1", 0.05, 1),
        purity=row.quantity("purity", "1", 0.05, 1),
        packs=_packs(row, currency),
        scoop=_pack(row.row("scoop"), currency) if row.has("scoop") else None,
    )


def _inoculant(row: Table, languages: Sequence[str], currency: Currency) -> Inoculant:
    return Inoculant(
        key=row.text("key", longest=16),
        crop=row.text("crop", longest=16),
        label=row.label("label", languages),
        dose_g_per_kg=row.quantity("dose", "g/kg", 0.1, 100),
        water_ml_per_kg=row.quantity("water", "ml/kg", 0.1, 100),
        opened_life_days=row.whole_quantity("opened_life", "day", 1, 365),
        packs=_packs(row, currency),
        handling=read_handling(row.optional_row("handling")),
    )


def _packs(row: Table, currency: Currency) -> tuple[Pack, ...]:
    packs = tuple(_pack(pack, currency) for pack in row.rows("packs"))
    row.unique("packs", [f"{pack.size} g" for pack in packs])
    return packs


def _pack(row: Table, currency: Currency) -> Pack:
    return Pack(row.whole("size_g", 1, 1_000_000), row.money("price", currency.decimals))


def _note_contradictions(table: Table, programme: Programme) -> None:
    """Names that are used twice, which no row can see."""
    table.unique("zones", [zone.key for zone in programme.zones])
    table.unique("villages", [village.key for village in programme.villages])
    table.unique("agents", [agent.key for agent in programme.agents])
    table.unique("agents", [agent.number for agent in programme.agents])
    table.unique("seeds", [seed.key for seed in programme.seeds])
    table.unique("inoculants", [inoculant.key for inoculant in programme.inoculants])
    table.unique("measures", [measure.key for measure in programme.measures])


def _note_strangers(table: Table, programme: Programme) -> None:
    """Names that nothing answers to, and a crop that is grown twice or without seed and inoculant."""
    crops = [plan.crop for plan in programme.crops]
    zones = [zone.key for zone in programme.zones]
    table.unique("crops", crops)
    _note_unknown(table, "villages", "zone", [village.zone for village in programme.villages], zones)
    villages = [village.key for village in programme.villages]
    _note_unknown(
        table, "agents", "village", [key for agent in programme.agents for key in agent.villages], villages
    )
    for place, sold in (("seeds", programme.seeds), ("inoculants", programme.inoculants)):
        sold_for = [product.crop for product in sold]
        _note_unknown(table, place, "crop", sold_for, crops)
        for crop in sorted(set(crops) - set(sold_for)):
            table.fault("crops", f"has no product in [[{place}]] for {crop!r}", f"add one to [[{place}]]")


def _note_unknown(table: Table, place: str, what: str, used: Collection[str], known: Collection[str]) -> None:
    for key in sorted(set(used) - set(known)):
        table.fault(place, f"has no {what} {key!r}", f"use or add one of: {', '.join(sorted(set(known)))}")


def _note_late_gaps(table: Table, programme: Programme, crops: Sequence[Crop]) -> None:
    """Gaps are seen once the crop is up, so there must be a day left on which they may still be filled."""
    stand = programme.land.stand
    if stand is None:
        return
    for season, days in _known_seasons(programme, crops):
        up = whole_up(days.emergence_to * season.slowed_by)
        if stand.fill_days < up:
            table.fault(
                "stand_check.fill_days",
                f"is {stand.fill_days}, and {season.crop} in {season.zone} comes up until day {up}",
                "give so many days from sowing or more, or mend [calendar] of the crop",
            )


def _known_seasons(programme: Programme, crops: Sequence[Crop]) -> list[tuple[ZoneSeason, CropDays]]:
    """Seasons of crops whose days are known."""
    known = {crop.key: crop.days for crop in crops if crop.days is not None}
    return [(season, known[season.crop]) for season in programme.seasons if season.crop in known]


def _note_spacings(table: Table, programme: Programme, crops: Sequence[Crop]) -> None:
    """A spacing must take the handbook rate: at least a seed for each hole, and at most the crop's most."""
    known = {crop.key: crop for crop in crops}
    for plan in (each for each in programme.crops if each.buying_rule is BuyingRule.RATE):
        crop, bought = known[plan.crop], programme.seed(plan.crop)
        worst = min(plan.keep_back_germination, crop.poor_under_percent / 100, bought.germination)
        raised = max(1.0, plan.rate_germination / worst)
        for spacing in plan.spacings:
            hole_m2 = spacing.row_m * spacing.hole_m
            seeds = plan.rate_kg_per_ha / HECTARE_M2 * 1e6 / crop.tsw_g * hole_m2
            pure, most = round(seeds * bought.purity, 6), round(seeds * raised, 6)
            if pure < 1 or most > crop.seeds_per_hole_max:
                table.fault(
                    f"crops.{plan.crop}.spacings",
                    f"{spacing.row_m:g} m by {spacing.hole_m:g} m takes {pure:.2f} pure seeds a hole of the rate, "
                    f"{most:.2f} seeds of the worst lot",
                    f"give a spacing that takes 1 to {crop.seeds_per_hole_max}",
                )


def _note_varieties(table: Table, programme: Programme, crops: Sequence[Crop]) -> None:
    """A variety must flower before it is ripe, also where the soil is cool."""
    for season, days in _known_seasons(programme, crops):
        slowed = whole_up(days.flowering * season.slowed_by)
        for variety in programme.varieties:
            if variety.crop == season.crop and variety.maturity_from <= slowed:
                table.fault(
                    "varieties",
                    f"has {variety.key!r}, which is ripe {variety.maturity_from} days from sowing and flowers "
                    f"{slowed} days from it in {season.zone}",
                    "mend its days to maturity, or slowed_by of that season",
                )
