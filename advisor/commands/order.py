"""``order``: what the dealer must stock, by product, week and village, and who gets how much from which bag."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

import click

from advisor.commands.agent_lists import Asked, Cell, asked_for, list_options, show, warn_of_numbers
from advisor.commands.exits import Exit, WrongUsage

if TYPE_CHECKING:
    from advisor.agronomy.packs import Pack
    from advisor.campaign.bags import Bag
    from advisor.campaign.ordering import Line, Order

_G_PER_KG = 1000
_LINES = ("village", "week", "product", "rests_on", "growers", "kg", "packs", "cost", "cost_alone", "left_kg")
_BAGS = (
    "village", "week", "product", "rests_on", "group", "bag", "bag_kg", "grower", "number", "takes_kg", "pays",
    "left_kg",
)  # fmt: skip
_WHY = {
    "field": "the size of the field is not known",
    "seed": "not known whether seed is bought or saved",
    "test": "saved seed without a test: what it needs is settled by the test",
    "sown": "sown already",
    "long_past": "the day of sowing is over four weeks past, and nobody told whether it was sown",
    "figures": "the field or the test is beyond the programme's limits",
}


@click.command()
@list_options
@click.option("--bags", is_flag=True, help="Who gets how much from which bag, and pays what.")
@click.option("--numbers", is_flag=True, help="With --bags: the growers' numbers too, which are personal data.")
def order(village: str | None, form: str | None, bags: bool, numbers: bool) -> Exit:
    """Shows what the dealer must stock: whole packs, shared among growers of a village with least waste.

    What rests on a seed test is apart from what is assumed: by a label, or since a lot failed and other seed is
    bought. Weeks begin on Monday; seed is bought some days before sowing, inoculant is fetched just before. What
    growers have bought already nobody tells: strike it off.

    \b
    Examples:
      advisor order
      advisor order --village Dovi --bags
      advisor order --csv > order.csv
    """
    if numbers and not bags:
        raise WrongUsage("--numbers goes with --bags: the order itself names nobody")
    with asked_for(village) as asked:
        found = asked.visiting.order(asked.village, asked.progress)
        shown = asked.visiting.numbers(found) if numbers else {}
    if bags:
        head = _BAGS if numbers else tuple(name for name in _BAGS if name != "number")
        rows = [row for line in found.lines for row in _bag_rows(line, asked, shown, numbers)]
        show(form, rows, head, lambda: "\n".join(_table(found, asked, bags=True, numbers=shown)))
    else:
        rows = [_row(line, asked) for line in found.lines]
        show(form, rows, _LINES, lambda: "\n".join(_table(found, asked, bags=False, numbers={})))
    if numbers and found.lines:
        warn_of_numbers()
    return Exit.DONE


def _place(line: Line, asked: Asked) -> dict[str, Cell]:
    return {
        "village": asked.named(line.village),
        "week": None if line.week is None else line.week.isoformat(),
        "product": _named(line.product, asked),
        "rests_on": "test" if line.tested else "assumption",
    }


def _row(line: Line, asked: Asked) -> dict[str, Cell]:
    return {
        **_place(line, asked),
        "growers": line.growers,
        "kg": line.grams / _G_PER_KG,
        "packs": _packs(line.packs),
        "cost": line.cost,
        "cost_alone": line.alone,
        "left_kg": line.left_g / _G_PER_KG,
    }


def _bag_rows(line: Line, asked: Asked, shown: Mapping[str, str], numbers: bool) -> Iterator[dict[str, Cell]]:
    """A row for each grower at each bag, and one without grower for what is left; a bill stands once a grower."""
    from advisor.campaign.bags import weighed_out

    for group_at, group in enumerate(line.groups, 1):
        bills = {share.grower: share.pays for share in group.shares}
        for bag_at, bag in enumerate(weighed_out(group), 1):
            taken = [(portion.grower, portion.grams, 0) for portion in bag.portions]
            for grower, grams, left_g in (*taken, *([("", 0, bag.left_g)] if bag.left_g else [])):
                yield {
                    **_place(line, asked),
                    "group": group_at,
                    "bag": bag_at,
                    "bag_kg": bag.pack.size / _G_PER_KG,
                    "grower": grower,
                    **({"number": shown.get(grower, "")} if numbers else {}),
                    "takes_kg": grams / _G_PER_KG,
                    "pays": bills.pop(grower, None),
                    "left_kg": left_g / _G_PER_KG,
                }


def _table(found: Order, asked: Asked, *, bags: bool, numbers: Mapping[str, str]) -> Iterator[str]:
    from advisor.agronomy.cautions import DIVIDED_PACK
    from advisor.commands.calculator.showing import caution_meanings

    place = None
    for line in found.lines:
        here = line.village, line.week
        if here != place:
            place = here
            week = "no day of sowing known" if line.week is None else f"week of {line.week.isoformat()}"
            yield f"{asked.named(line.village)}, {week}"
        yield f"  {_said(line, asked)}"
        if bags:
            yield from _bag_lines(line, asked, numbers)
    if not found.lines:
        yield "nothing to order"
    yield from _totals(found.lines, asked)
    if found.left_out:
        yield "not in the order, fields:"
    for village, lacking, count in found.left_out:
        yield f"  {asked.named(village)}: {count}, {_WHY[lacking.value]}"
    if found.lines:
        meanings = caution_meanings()
        yield "take care:"
        yield from (f"  {meanings[key]}" for key in DIVIDED_PACK)


def _said(line: Line, asked: Asked) -> str:
    rests = "tested" if line.tested else "assumed"
    saved = line.alone - line.cost
    shared = f", {_money(saved, asked)} less than alone" if saved > 0 else ""
    left = f", {_mass(line.left_g, line)} left over" if line.left_g else ""
    growers = f"{line.growers} grower{'s' if line.growers > 1 else ''}"
    return (
        f"{_named(line.product, asked)}, {rests}: {_packs(line.packs)} for {growers} ({_mass(line.grams, line)}), "
        f"{_money(line.cost, asked)}{shared}{left}"
    )


def _bag_lines(line: Line, asked: Asked, numbers: Mapping[str, str]) -> Iterator[str]:
    from advisor.campaign.bags import weighed_out

    for at, group in enumerate(line.groups, 1):
        bills = "; ".join(
            f"{_who(share.grower, numbers)} {_mass(share.grams, line)}, {_money(share.pays, asked)}"
            for share in group.shares
        )
        yield f"    group {at}: {bills}"
        if len(group.shares) > 1:
            yield from (f"      {told}" for told in _weighed(weighed_out(group), line, numbers))


def _weighed(bags: Sequence[Bag], line: Line, numbers: Mapping[str, str]) -> Iterator[str]:
    """Bags that one grower takes whole are counted; the others are told one by one."""
    whole: Counter[tuple[str, int]] = Counter()
    for bag in bags:
        if len(bag.portions) == 1 and not bag.left_g:
            whole[bag.portions[0].grower, bag.pack.size] += 1
    for (grower, size), count in whole.items():
        yield f"{count} whole of {_mass(size, line)}: {_who(grower, numbers)}"
    for bag in bags:
        if len(bag.portions) != 1 or bag.left_g:
            told = [f"{_who(portion.grower, numbers)} {_mass(portion.grams, line)}" for portion in bag.portions]
            told += [f"{_mass(bag.left_g, line)} left"] if bag.left_g else []
            yield f"from one of {_mass(bag.pack.size, line)}: {', '.join(told)}"


def _who(grower: str, numbers: Mapping[str, str]) -> str:
    return numbers.get(grower, grower)


def _totals(lines: Sequence[Line], asked: Asked) -> Iterator[str]:
    products: dict[tuple[str, bool], list[Line]] = {}
    for line in lines:
        products.setdefault((line.product, not line.tested), []).append(line)
    if products:
        yield "in all"
    for (product, assumed), found in sorted(products.items()):
        packs: Counter[Pack] = Counter()
        for line in found:
            packs.update(dict(line.packs))
        mass = _mass(sum(line.grams for line in found), found[0])
        told = _packs(sorted(packs.items(), key=lambda each: (-each[0].size, each[0].price)))
        rests = "assumed" if assumed else "tested"
        yield f"  {_named(product, asked)}, {rests}: {told} ({mass}), {_money(_cost(found), asked)}"
    if products:
        yield f"  {_money(_cost(lines), asked)}"


def _cost(lines: Sequence[Line]) -> Decimal:
    return sum((line.cost for line in lines), Decimal(0))


def _mass(grams: int, line: Line) -> str:
    """In grams where the packs are below a kilogram, as their labels are."""
    small = any(pack.size < _G_PER_KG for pack, _ in line.packs)
    return f"{grams:,} g" if small else f"{grams / _G_PER_KG:,.{_decimals(grams)}f} kg"


def _decimals(grams: int) -> int:
    """As many digits as the kilograms have, at most three."""
    return next(digits for digits in range(4) if grams % 10 ** (3 - digits) == 0)


def _packs(packs: Sequence[tuple[Pack, int]]) -> str:
    """Packs as the buy list says them, those under a kilogram in grams.

    >>> from advisor.agronomy.packs import Pack
    >>> _packs([(Pack(25000, Decimal(1)), 2), (Pack(5000, Decimal(1)), 1)]), _packs([(Pack(250, Decimal(1)), 3)])
    ('2x25 + 1x5 kg', '3x250 g')
    """
    if all(pack.size >= _G_PER_KG for pack, _ in packs):
        return " + ".join(f"{count}x{pack.size / _G_PER_KG:g}" for pack, count in packs) + " kg"
    return " + ".join(f"{count}x{pack.size}" for pack, count in packs) + " g"


def _money(amount: Decimal, asked: Asked) -> str:
    currency = asked.book.programme.currency
    return f"{currency.symbol} {amount:,.{currency.decimals}f}"


def _named(product: str, asked: Asked) -> str:
    programme = asked.book.programme
    labels = {seed.key: seed.label for seed in programme.seeds}
    labels |= {inoculant.key: inoculant.label for inoculant in programme.inoculants}
    return labels[product].default
