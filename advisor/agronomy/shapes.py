"""Area of a field that is no rectangle: triangles, four sides with a diagonal, and fields made of pieces.

Every shape here is made of triangles, since three lengths fix a triangle and nothing else does. Four sides alone
fix no field: the same four sides can be pushed flat like a gate. The usual shortcut (mean of the facing sides,
multiplied) always comes out too large, so it is not offered; one diagonal more, paced in a minute, gives the true
area. A length is a number of steps or of metres: whatever is wrong with the step is wrong twice in the area.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum, sqrt

from advisor.agronomy.errors import CannotBe
from advisor.agronomy.field import PacedArea
from advisor.agronomy.limits import above_zero, not_below


def triangle_m2(first_m: float, second_m: float, third_m: float) -> float:
    """Area of a triangle from its three sides.

    Args:
        first_m: one side [m], above 0.
        second_m: another side [m], above 0.
        third_m: the third side [m], above 0.

    Returns:
        The area [m²].

    Raises:
        OutOfRange: a side that is not above 0.
        CannotBe: the longest side is as long as the other two together or longer, so the triangle does not close.

    Source:
        Heron's formula in the form of W. Kahan, Miscalculating area and angles of a needle-like triangle, which
        loses nothing where one side is nearly as long as the other two.

    >>> triangle_m2(30, 40, 50)
    600.0
    """
    short, middle, long = sorted(above_zero("side", side, "m") for side in (first_m, second_m, third_m))
    if long >= short + middle:
        raise CannotBe(
            "triangle_does_not_close",
            f"sides of {short:g}, {middle:g} and {long:g} do not meet in a triangle",
            "measure the three sides again; the longest is always shorter than the other two together",
        )
    # The order of these sums and differences is what keeps the formula exact; they must not be rearranged.
    product = (long + (middle + short)) * (short - (long - middle)) * (short + (long - middle))
    return sqrt(product * (long + (middle - short))) / 4


def four_sides_m2(
    first_m: float,
    second_m: float,
    third_m: float,
    fourth_m: float,
    diagonal_m: float,
    *,
    bends_in: bool = False,
) -> float:
    """Area of a field with four corners, from its sides in walking order and one diagonal.

    The diagonal runs from where the walk starts to the corner between the second and the third side, so it parts
    the field into two triangles, which are added. Where one of the two other corners bends in, the diagonal runs
    outside the field and the small triangle is missing from the large one: it is subtracted.

    Args:
        first_m: first side [m], above 0.
        second_m: second side [m], above 0.
        third_m: third side [m], above 0.
        fourth_m: fourth side, back to the start [m], above 0.
        diagonal_m: from the start to the end of the second side [m], above 0.
        bends_in: whether a corner off the diagonal bends in.

    Returns:
        The area [m²].

    Raises:
        OutOfRange: a length that is not above 0.
        CannotBe: a triangle does not close, or the corner that bends in would lie outside the other triangle.

    Source:
        Geometry; The Math Doctors, Area of a plot of land: four sides and a diagonal.

    >>> round(four_sides_m2(60, 40, 60, 40, 72.1110255))
    2400
    >>> four_sides_m2(50, 50, 34, 34, 60, bends_in=True)
    720.0
    """
    one_m2 = triangle_m2(first_m, second_m, diagonal_m)
    other_m2 = triangle_m2(third_m, fourth_m, diagonal_m)
    if not bends_in:
        return one_m2 + other_m2
    # Of the angles at the two ends of the diagonal; the start touches the first and the fourth side.
    one = (_cosine(first_m, diagonal_m, second_m), _cosine(second_m, diagonal_m, first_m))
    other = (_cosine(fourth_m, diagonal_m, third_m), _cosine(third_m, diagonal_m, fourth_m))
    outer, inner = (one, other) if one_m2 > other_m2 else (other, one)
    if inner[0] <= outer[0] or inner[1] <= outer[1]:
        raise CannotBe(
            "corner_does_not_bend_in",
            "with these lengths no corner off the diagonal lies inside the field",
            "measure the other diagonal, or add the two triangles if the diagonal runs inside the field",
        )
    return abs(one_m2 - other_m2)


def sum_of_pieces(pieces: Sequence[PacedArea], taken_away: Sequence[PacedArea] = ()) -> PacedArea:
    """Area of a field that was measured piece by piece, less what is not sown: a house, a rock, a pond.

    The range holds whoever paced which piece: for the low end every piece is small and all that is taken away is
    large, for the high end the other way round.

    Args:
        pieces: pieces that do not overlap, at least one.
        taken_away: parts of those pieces that are not sown.

    Returns:
        The area and its range [m²]; the low end is 0 or more.

    Raises:
        CannotBe: no piece, or more is taken away than there is.
        OutOfRange: an area below 0, or too large.

    Source:
        Arithmetic.

    >>> sum_of_pieces([PacedArea(5000, 4500, 5500), PacedArea(600, 600, 600)], [PacedArea(100, 90, 110)])
    PacedArea(area_m2=5500.0, low_m2=4990.0, high_m2=6010.0)
    """
    if not pieces:
        raise CannotBe("no_piece", "a field of no pieces has no area", "give at least one piece")
    for piece in (*pieces, *taken_away):
        for each_m2 in (piece.area_m2, piece.low_m2, piece.high_m2):
            not_below("area", each_m2, 0, "m2")
    area_m2 = fsum(piece.area_m2 for piece in pieces) - fsum(part.area_m2 for part in taken_away)
    if area_m2 <= 0:
        raise CannotBe(
            "nothing_left_to_sow",
            "as much is taken away from the field as it has",
            "measure again what is not sown, and take away only what lies inside the pieces",
        )
    low_m2 = fsum(piece.low_m2 for piece in pieces) - fsum(part.high_m2 for part in taken_away)
    high_m2 = fsum(piece.high_m2 for piece in pieces) - fsum(part.low_m2 for part in taken_away)
    return PacedArea(area_m2, max(0.0, low_m2), high_m2)


def _cosine(beside_m: float, diagonal_m: float, facing_m: float) -> float:
    """Cosine of the angle between a side and the diagonal; the smaller the angle, the larger."""
    return (beside_m**2 + diagonal_m**2 - facing_m**2) / (2 * beside_m * diagonal_m)
