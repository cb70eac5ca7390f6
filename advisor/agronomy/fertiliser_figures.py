"""What a programme and a crop set about fertiliser: needs by zone or soil test, the dealer's list, the furrow.

Needs are the programme's, because soils are; what a harvest takes away is the crop's. Each amount names its
form, so that a need given in kg of P is turned into P₂O₅ when the file is read and never later.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from advisor.agronomy.crop_rows import row_of
from advisor.agronomy.errors import MissingFigure
from advisor.agronomy.grades import Grade, read_grade
from advisor.agronomy.labels import Currency, Label
from advisor.agronomy.nutrients import K2O, P2O5, N
from advisor.agronomy.packs import Pack
from advisor.agronomy.tables import Table


@dataclass(frozen=True, slots=True)
class Removal:
    """What a harvest takes off the field.

    Args:
        p2o5_g_per_kg: P₂O₅ in a kilogram of grain.
    """

    p2o5_g_per_kg: float


@dataclass(frozen=True, slots=True)
class ZoneNeed:
    """What a crop needs in a zone where nobody has tested the soil.

    Args:
        crop: key of the crop.
        zone: key of the zone.
        p2o5: P₂O₅ for a season.
        k2o: K₂O for a season.
        n_limit: most nitrogen at sowing; more makes the crop lazy about nodules.
    """

    crop: str
    zone: str
    p2o5: P2O5
    k2o: K2O
    n_limit: N


@dataclass(frozen=True, slots=True)
class SoilClass:
    """A class of a soil test for phosphorus.

    Args:
        crop: key of the crop.
        key: short key, never changed.
        from_mg_per_kg: least phosphorus of the class [mg P/kg of soil]; it ends where the next one starts.
        p2o5: P₂O₅ for a season.
        label: what laboratories here call it, at most 16 characters in every language; None for its key.
    """

    crop: str
    key: str
    from_mg_per_kg: float
    p2o5: P2O5
    label: Label | None = None


@dataclass(frozen=True, slots=True)
class FertiliserProduct:
    """A fertiliser on the dealer's list.

    Args:
        key: short key, never changed.
        label: its name, at most 16 characters in every language.
        grade: what it holds.
        bulk_g_per_ml: mass of a millilitre of its granules, loosely filled.
        packs: whole bags on sale; sizes in grams.
        scoop: the least that is sold loose, and its price; None where it is sold in whole bags only.
    """

    key: str
    label: Label
    grade: Grade
    bulk_g_per_ml: float
    packs: tuple[Pack, ...]
    scoop: Pack | None


@dataclass(frozen=True, slots=True)
class Furrow:
    """Where fertiliser lies.

    Args:
        from_m: least depth of the furrow.
        to_m: greatest depth of it.
        cover_m: soil between the fertiliser and the seed above it.
        beside_m: distance from the seed, where it lies in a furrow or hole of its own.
        cap_tolerance: part by which what caps spread may differ from the plan.
    """

    from_m: float
    to_m: float
    cover_m: float
    beside_m: float
    cap_tolerance: float


@dataclass(frozen=True, slots=True)
class Fertilising:
    """Everything that a programme sets about fertiliser.

    Args:
        credit_part: part of last season's surplus that counts this season, 0 to 1.
        furrow: where fertiliser lies.
        needs: needs by crop and zone.
        soil_classes: classes of a soil test by crop, from the poorest soil upward.
        products: the dealer's list.
    """

    credit_part: float
    furrow: Furrow
    needs: tuple[ZoneNeed, ...]
    soil_classes: tuple[SoilClass, ...]
    products: tuple[FertiliserProduct, ...]

    def need(self, crop: str, zone: str) -> ZoneNeed:
        """What a crop needs in a zone. Raises MissingFigure when the programme does not say."""
        return row_of(self.needs, crop, zone, "fertiliser need", "fertilising.needs")

    def soil_classes_of(self, crop: str) -> tuple[SoilClass, ...]:
        """The classes for a crop. Raises MissingFigure when the programme has none."""
        found = tuple(each for each in self.soil_classes if each.crop == crop)
        if not found:
            raise MissingFigure(
                f"soil classes of {crop}", "add them to [[fertilising.soil_classes]] in the programme file"
            )
        return found

    def product(self, key: str) -> FertiliserProduct:
        """A product of the list. Raises MissingFigure when it is not on it."""
        found = next((product for product in self.products if product.key == key), None)
        if found is None:
            raise MissingFigure(f"fertiliser {key}", "add it to [[fertilising.products]] in the programme file")
        return found


def read_removal(row: Table | None) -> Removal | None:
    """What a harvest takes away, from the table of a crop.

    Args:
        row: the table ``removal``, None where it is left out.

    Returns:
        The figures, None where the table is left out.

    Raises:
        Nothing; faults are noted on the page of the table.

    Source:
        The project's own file format.

    >>> read_removal(None) is None
    True
    """
    return None if row is None else Removal(row.quantity("p2o5", "g P2O5/kg", 0, 100))


def read_fertilising(
    row: Table | None,
    languages: Sequence[str],
    currency: Currency,
    crop_keys: Sequence[str],
    zone_keys: Sequence[str],
) -> Fertilising | None:
    """What a programme sets about fertiliser, from its table.

    Args:
        row: the table ``fertilising``, None where it is left out.
        languages: languages of the programme.
        currency: money that prices are in.
        crop_keys: crops that there are.
        zone_keys: zones of the programme.

    Returns:
        The figures, None where the table is left out.

    Raises:
        Nothing; faults are noted on the page of the table.

    Source:
        The project's own file format.

    >>> read_fertilising(None, ("en",), Currency("Ul", 0), (), ()) is None
    True
    """
    if row is None:
        return None
    fertilising = Fertilising(
        credit_part=row.quantity("credit_part", "1", 0, 1),
        furrow=_furrow(row.row("furrow")),
        needs=tuple(_need(need, crop_keys, zone_keys) for need in row.rows("needs")),
        soil_classes=tuple(_soil_class(each, languages, crop_keys) for each in row.optional_rows("soil_classes")),
        products=tuple(_product(product, languages, currency) for product in row.rows("products")),
    )
    row.unique("needs", [f"{need.crop} in {need.zone}" for need in fertilising.needs])
    row.unique("products", [product.key for product in fertilising.products])
    for crop in dict.fromkeys(each.crop for each in fertilising.soil_classes):
        classes = [each for each in fertilising.soil_classes if each.crop == crop]
        row.unique("soil_classes", [f"{crop} {each.key}" for each in classes])
        if classes[0].from_mg_per_kg:
            row.contradiction(
                "soil_classes", f"of {crop} start at {classes[0].from_mg_per_kg:g}", "start the first at 0"
            )
        for one, other in pairwise(classes):
            if one.from_mg_per_kg >= other.from_mg_per_kg:
                row.contradiction(
                    "soil_classes",
                    f"of {crop} have {other.key} from {other.from_mg_per_kg:g}, "
                    f"behind {one.key} from {one.from_mg_per_kg:g}",
                    "let each start higher than the one before",
                )
    return fertilising


def _furrow(row: Table) -> Furrow:
    furrow = Furrow(
        from_m=row.quantity("from", "m", 0.01, 0.3),
        to_m=row.quantity("to", "m", 0.01, 0.3),
        cover_m=row.quantity("cover", "m", 0.005, 0.2),
        beside_m=row.quantity("beside", "m", 0.01, 0.5),
        cap_tolerance=row.quantity("cap_tolerance", "1", 0, 1),
    )
    row.rising(("cover", furrow.cover_m), ("from", furrow.from_m), ("to", furrow.to_m))
    return furrow


def _need(row: Table, crop_keys: Sequence[str], zone_keys: Sequence[str]) -> ZoneNeed:
    return ZoneNeed(
        crop=row.one_of("crop", crop_keys),
        zone=row.one_of("zone", zone_keys),
        p2o5=P2O5(row.quantity("p2o5", "kg P2O5/ha", 0, 300)),
        k2o=K2O(row.quantity("k2o", "kg K2O/ha", 0, 300)),
        n_limit=N(row.quantity("n_limit", "kg N/ha", 0, 200)),
    )


def _soil_class(row: Table, languages: Sequence[str], crop_keys: Sequence[str]) -> SoilClass:
    return SoilClass(
        crop=row.one_of("crop", crop_keys),
        key=row.text("key", longest=16),
        from_mg_per_kg=row.quantity("from", "mg P/kg", 0, 500),
        p2o5=P2O5(row.quantity("p2o5", "kg P2O5/ha", 0, 300)),
        label=row.label("label", languages) if row.has("label") else None,
    )


def _product(row: Table, languages: Sequence[str], currency: Currency) -> FertiliserProduct:
    scoop = row.optional_row("loose")
    packs = tuple(_pack(pack, currency) for pack in row.rows("packs"))
    row.unique("packs", [f"{pack.size} g" for pack in packs])
    return FertiliserProduct(
        key=row.text("key", longest=16),
        label=row.label("label", languages),
        grade=read_grade(row),
        bulk_g_per_ml=row.quantity("bulk_density", "g/ml", 0.3, 3),
        packs=packs,
        scoop=None if scoop is None else _pack(scoop, currency),
    )


def _pack(row: Table, currency: Currency) -> Pack:
    return Pack(row.whole("size_g", 1, 1_000_000), row.money("price", currency.decimals))
