"""Nitrogen, phosphorus and potassium, each as what it is: the element or the oxide that bags are labelled by.

Guides mix up P and P₂O₅, K and K₂O; a need of 30 kg P is more than twice a need of 30 kg P₂O₅. Here they are
different types: one is never added to, compared with or taken for another, and only functions of this file turn
one into the other. An amount is always for a hectare, so that need, credit, limit and what a bag delivers speak
of the same.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self

from advisor.agronomy.limits import not_below

_P, _K, _O = 30.973762, 39.0983, 15.999
#: Part of P₂O₅ that is phosphorus, and of K₂O that is potassium, by atomic mass.
P_IN_P2O5 = 2 * _P / (2 * _P + 5 * _O)
K_IN_K2O = 2 * _K / (2 * _K + _O)


@dataclass(frozen=True, slots=True, order=True)
class _PerHectare:
    """An amount of one substance for a hectare.

    Args:
        kg_per_ha: the amount [kg/ha], 0 or more.

    Raises:
        OutOfRange: an amount below 0, or none at all.
    """

    kg_per_ha: float

    def __post_init__(self) -> None:
        not_below(type(self).__name__, self.kg_per_ha, 0, "kg/ha")

    def __add__(self, other: Self) -> Self:
        return type(self)(self.kg_per_ha + other.kg_per_ha) if type(other) is type(self) else NotImplemented

    def less(self, other: Self) -> Self:
        """What is left of an amount after another; nothing where the other is larger."""
        if type(other) is not type(self):
            raise TypeError(f"{type(self).__name__} less {type(other).__name__}: turn one into the other first")
        return type(self)(max(0.0, self.kg_per_ha - other.kg_per_ha))


class N(_PerHectare):
    """Nitrogen for a hectare, as bags are labelled.

    >>> N(26.7) > N(20)
    True
    """

    __slots__ = ()


class P(_PerHectare):
    """Phosphorus for a hectare, as the element.

    >>> P(20) == P2O5(20)
    False
    """

    __slots__ = ()


class P2O5(_PerHectare):
    """Phosphorus for a hectare, as the oxide that bags are labelled by.

    >>> P2O5(30) + P2O5(16)
    P2O5(kg_per_ha=46)
    """

    __slots__ = ()


class K(_PerHectare):
    """Potassium for a hectare, as the element."""

    __slots__ = ()


class K2O(_PerHectare):
    """Potassium for a hectare, as the oxide that bags are labelled by.

    >>> K2O(20).less(K2O(30))
    K2O(kg_per_ha=0.0)
    """

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Nutrients:
    """What a dressing gives a hectare.

    Args:
        n: nitrogen.
        p2o5: phosphorus as the oxide.
        k2o: potassium as the oxide.
    """

    n: N
    p2o5: P2O5
    k2o: K2O


def p_from_p2o5(oxide: P2O5) -> P:
    """The phosphorus in an amount of P₂O₅.

    Args:
        oxide: the amount [kg/ha].

    Returns:
        Phosphorus [kg/ha].

    Raises:
        TypeError: something that is not P₂O₅.

    Source:
        IUPAC, abridged standard atomic weights 2021: 2 × 30.974 of 141.94 parts.

    >>> round(p_from_p2o5(P2O5(100)).kg_per_ha, 2)
    43.64
    """
    return P(_kg(oxide, P2O5) * P_IN_P2O5)


def p2o5_from_p(element: P) -> P2O5:
    """The P₂O₅ that holds an amount of phosphorus.

    Args:
        element: the amount [kg/ha].

    Returns:
        P₂O₅ [kg/ha].

    Raises:
        TypeError: something that is not P.

    Source:
        As ``p_from_p2o5``.

    >>> round(p2o5_from_p(P(20)).kg_per_ha, 2)
    45.83
    """
    return P2O5(_kg(element, P) / P_IN_P2O5)


def k_from_k2o(oxide: K2O) -> K:
    """The potassium in an amount of K₂O.

    Args:
        oxide: the amount [kg/ha].

    Returns:
        Potassium [kg/ha].

    Raises:
        TypeError: something that is not K₂O.

    Source:
        IUPAC, abridged standard atomic weights 2021: 2 × 39.098 of 94.196 parts.

    >>> round(k_from_k2o(K2O(100)).kg_per_ha, 2)
    83.02
    """
    return K(_kg(oxide, K2O) * K_IN_K2O)


def k2o_from_k(element: K) -> K2O:
    """The K₂O that holds an amount of potassium.

    Args:
        element: the amount [kg/ha].

    Returns:
        K₂O [kg/ha].

    Raises:
        TypeError: something that is not K.

    Source:
        As ``k_from_k2o``.

    >>> round(k2o_from_k(K(20)).kg_per_ha, 2)
    24.09
    """
    return K2O(_kg(element, K) / K_IN_K2O)


def _kg(amount: _PerHectare, kind: type[_PerHectare]) -> float:
    """The number, only where the substance is the one asked for: at run time too, where no type checker looks."""
    if type(amount) is not kind:
        raise TypeError(f"{kind.__name__} is asked for, {type(amount).__name__} is given")
    return amount.kg_per_ha
