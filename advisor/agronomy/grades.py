"""Grades: what a bag holds of nitrogen, P₂O₅ and K₂O, and from there to the mass of product and back.

A bag of 18-46-0 holds 18 parts of nitrogen and 46 of P₂O₅ in a hundred. The mass of product for a need follows
from one nutrient; what else it brings along comes out too, and is held against its limit for what is applied,
since what stays in the bag burns nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

from advisor.agronomy.errors import CannotBe, OutOfRange
from advisor.agronomy.limits import SMALLEST, above_zero, within
from advisor.agronomy.nutrients import K2O, P2O5, N, Nutrients
from advisor.agronomy.tables import Table
from advisor.agronomy.units import HECTARE_M2


@dataclass(frozen=True, slots=True)
class Grade:
    """What a hundred parts of a product hold.

    Args:
        n_percent: parts of nitrogen, 0 to 100.
        p2o5_percent: parts of P₂O₅.
        k2o_percent: parts of K₂O.

    Raises:
        OutOfRange: a part below 0 or above 100.
        CannotBe: more than a hundred parts together, or none at all.

    >>> str(Grade(18, 46, 0))
    '18-46-0'
    """

    n_percent: float
    p2o5_percent: float
    k2o_percent: float

    def __post_init__(self) -> None:
        parts = (self.n_percent, self.p2o5_percent, self.k2o_percent)
        for part in parts:
            if not 0 <= part <= 100:
                raise OutOfRange("part of a nutrient", part, 0, 100, "percent")
        if not 0 < sum(parts) <= 100:
            raise CannotBe(
                "grade",
                f"a grade of {self} holds {sum(parts):g} of 100 parts",
                "read the three numbers on the bag",
            )

    def __str__(self) -> str:
        return f"{self.n_percent:g}-{self.p2o5_percent:g}-{self.k2o_percent:g}"


def read_grade(row: Table) -> Grade:
    """A grade from the table of its product; P and K may be given as elements, and are then turned into oxides.

    Args:
        row: the table, with ``n``, ``p2o5`` and ``k2o``.

    Returns:
        The grade.

    Raises:
        Nothing; faults are noted on the page of the table.

    Source:
        The project's own file format.

    >>> from advisor.agronomy.tables import read_table
    >>> given = '{ value = 1, unit = "percent N", source = "s", mark = "judgement" }'
    >>> row = read_table(f"n = {given}", "file", {"s": False})
    >>> str(read_grade(row))
    '1-0-0'
    """
    parts = (
        row.quantity("n", "percent N", 0, 100),
        row.quantity("p2o5", "percent P2O5", 0, 100),
        row.quantity("k2o", "percent K2O", 0, 100),
    )
    if not 0 < sum(parts) <= 100:
        row.contradiction(
            "n", f"and p2o5 and k2o are {sum(parts):g} percent together", "give the three numbers on the bag"
        )
        return Grade(0, 100, 0)
    return Grade(*parts)


def product_kg_for_p2o5(need: P2O5, grade: Grade, area_m2: float) -> float:
    """Product that brings an amount of P₂O₅.

    Args:
        need: P₂O₅ for a hectare.
        grade: grade of the product.
        area_m2: the plot [m²], above 0.

    Returns:
        Product [kg], 0 where nothing is needed.

    Raises:
        CannotBe: a product without P₂O₅.
        OutOfRange: an area that is not above 0.

    Source:
        Biocheminology, Determining amount of fertilizer to apply (2015): 60 kg P₂O₅ is 333.33 kg of 18 %.

    >>> round(product_kg_for_p2o5(P2O5(60), Grade(0, 18, 0), 10_000), 2)
    333.33
    """
    return _product_kg(need.kg_per_ha, grade.p2o5_percent, "P2O5", grade, area_m2)


def product_kg_for_k2o(need: K2O, grade: Grade, area_m2: float) -> float:
    """Product that brings an amount of K₂O.

    Args:
        need: K₂O for a hectare.
        grade: grade of the product.
        area_m2: the plot [m²], above 0.

    Returns:
        Product [kg], 0 where nothing is needed.

    Raises:
        CannotBe: a product without K₂O.
        OutOfRange: an area that is not above 0.

    Source:
        As ``product_kg_for_p2o5``.

    >>> product_kg_for_k2o(K2O(30), Grade(0, 0, 60), 10_000)
    50.0
    """
    return _product_kg(need.kg_per_ha, grade.k2o_percent, "K2O", grade, area_m2)


def product_kg_for_n(need: N, grade: Grade, area_m2: float) -> float:
    """Product that brings an amount of nitrogen, or the most that stays within a limit of it.

    Args:
        need: nitrogen for a hectare.
        grade: grade of the product.
        area_m2: the plot [m²], above 0.

    Returns:
        Product [kg], 0 where nothing is needed.

    Raises:
        CannotBe: a product without nitrogen.
        OutOfRange: an area that is not above 0.

    Source:
        As ``product_kg_for_p2o5``.

    >>> round(product_kg_for_n(N(20), Grade(18, 46, 0), 4046.8564224), 1)
    45.0
    """
    return _product_kg(need.kg_per_ha, grade.n_percent, "N", grade, area_m2)


def delivered(grade: Grade, kg: float, area_m2: float) -> Nutrients:
    """What a mass of product brings to a hectare.

    Args:
        grade: grade of the product.
        kg: product applied to the plot [kg], 0 or more.
        area_m2: the plot [m²], above 0.

    Returns:
        Nitrogen, P₂O₅ and K₂O for a hectare.

    Raises:
        OutOfRange: a mass below 0 or an area that is not above 0.

    Source:
        Arithmetic.

    >>> given = delivered(Grade(18, 46, 0), 60, 4046.8564224)
    >>> round(given.n.kg_per_ha, 1), round(given.p2o5.kg_per_ha, 1)
    (26.7, 68.2)
    """
    kg_per_ha = within("product", kg, 0, 1e9, "kg") / above_zero("area", area_m2, "m2") * HECTARE_M2
    return Nutrients(
        N(kg_per_ha * grade.n_percent / 100),
        P2O5(kg_per_ha * grade.p2o5_percent / 100),
        K2O(kg_per_ha * grade.k2o_percent / 100),
    )


def _product_kg(need_kg_per_ha: float, percent: float, nutrient: str, grade: Grade, area_m2: float) -> float:
    above_zero("area", area_m2, "m2")
    if not need_kg_per_ha:
        return 0.0
    if percent <= SMALLEST:
        raise CannotBe(
            "nutrient_missing", f"{grade} holds no {nutrient}", f"choose a product that holds {nutrient}"
        )
    return need_kg_per_ha * area_m2 / HECTARE_M2 / percent * 100
