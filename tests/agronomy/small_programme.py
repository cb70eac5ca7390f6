"""A programme as small as one can be with every part of its own file, each value another one, in SI units."""

from __future__ import annotations

import re

from advisor.agronomy.crop import Crop
from advisor.agronomy.errors import DataFault
from advisor.agronomy.programme import Programme
from advisor.agronomy.programme_file import read_programme
from advisor.agronomy.season_days import CropDays
from advisor.agronomy.sources import Source

SOURCES = (Source("talk", "Somebody, said so", ""),)
DAYS = CropDays(15, 10, 8, 5, 2, 7, 10, (21, 42), 35, 42, 45, 14, 7, 30, 20)
CROPS = (
    Crop("pea", 200, 0.85, 0.95, 80, 60, 50, 50, 20, 400, 4, (), DAYS),
    Crop("bean", 400, 0.85, 0.95, 80, 60, 50, 50, 20, 400, 4, ()),
)

#: A line such as ``rope = 21 m`` stands for a figure with source and mark.
SHORT = """
key = "small"
name = { default = "Small", sw = "Ndogo" }
country_code = "99"
trunk_prefix = "01"
number_length = 8
time_zone = "Etc/GMT-3"
languages = ["en", "sw"]
purse_max = "900.50"
quiet_from = 20:00:00
quiet_to = 06:30:00
retention_days = 700
answer_segments = 2
messages_per_day = 4

[currency]
symbol = "Ul"
decimals = 2

[field]
area_unit = "hectare"
plot_low = 100 m2
plot_high = 90000 m2
area_step = 50 m2
step = 0.7 m
step_low = 0.4 m
step_high = 1.2 m
step_error = 0.05 1
rope = 21 m

[harvest]
bag = 45 kg

[sharing]
most = 5 1

[[zones]]
key = "coast"
label = { default = "coast", sw = "pwani" }

[[zones]]
key = "hills"
label = "hills"

[zones.nitrogen_left]
returned_low = 10 kg N/ha
returned_high = 40 kg N/ha
removed_low = 1 kg N/ha
removed_high = 4 kg N/ha

[[villages]]
key = "v1"
label = { default = "Dovi", sw = "Dovia" }
zone = "hills"

[[villages]]
key = "v2"
label = "Kesu"
zone = "coast"

[[crops]]
crop = "pea"
label = { default = "pea", sw = "njegere" }
buying_rule = "rate"
rate = 80 kg/ha
rate_germination = 0.8 1
stand = 30 plants/m2
spill = 0.02 1
sorting_loss = 0.1 1
keep_back_germination = 0.65 1
sown_per_day = 4000 m2/day

[[crops.spacings]]
row = 0.5 m
hole = 0.1 m

[[crops.spacings]]
row = 0.6 m
hole = 0.05 m

[[crops]]
crop = "bean"
label = "bean"
buying_rule = "population"
rate = 81 kg/ha
rate_germination = 0.81 1
stand = 31 plants/m2
spill = 0.03 1
sorting_loss = 0.11 1
keep_back_germination = 0.66 1
sown_per_day = 4100 m2/day

[[crops.spacings]]
row = 4 m
hole = 3 m

[[seeds]]
key = "s1"
crop = "pea"
label = { default = "pea seed", sw = "mbegu" }
germination = 0.86 1
purity = 0.97 1
packs = [{ size_g = 1000, price = "2.50" }, { size_g = 5000, price = "11" }]
scoop = { size_g = 500, price = "1.50" }

[[seeds]]
key = "s2"
crop = "bean"
label = "bean seed"
germination = 0.87 1
purity = 0.96 1
packs = [{ size_g = 2000, price = "7" }]

[[inoculants]]
key = "i1"
crop = "pea"
label = { default = "pea powder", sw = "unga" }
dose = 5 g/kg
water = 3 ml/kg
opened_life = 2 day
packs = [{ size_g = 100, price = "4" }]

[[inoculants]]
key = "i2"
crop = "bean"
label = "bean powder"
dose = 6 g/kg
water = 4 ml/kg
opened_life = 1 day
packs = [{ size_g = 150, price = "5" }]

[[varieties]]
key = "a1"
crop = "pea"
label = { default = "usual", sw = "kawaida" }
maturity_from = 80 day
maturity_to = 85 day

[[seasons]]
zone = "hills"
crop = "pea"
opens = 310 day of year
closes = 5 day of year
rains_end = 100 day of year
slowed_by = 1.25 1
onset_rule = "dekads"
sowing_rain = 25 mm
sowing_rain_within = 3 day
moist_for = 2 day

[[budgets]]
zone = "hills"
crop = "pea"
harvest_low = 400 kg/ha
harvest_middle = 900 kg/ha
harvest_high = 1500 kg/ha
demonstration = 2500 kg/ha
part_half_p = 0.9 1
part_no_p = 0.7 1
grain_price = "0.75"
ratio_enough = 2 1
costs = [{ key = "weed", label = { default = "weeding", sw = "palizi" }, amount = "12.25", per = "acre" }]

[[budgets]]
zone = "coast"
crop = "pea"
harvest_low = 300 kg/ha
harvest_middle = 800 kg/ha
harvest_high = 1400 kg/ha
part_half_p = 0.8 1
part_no_p = 0.6 1
grain_price = "0.70"
ratio_enough = 3 1

[[loans]]
key = "l1"
label = { default = "bank", sw = "benki" }
interest = "on_balance"
rate = 0.02 1/month
months_apart = 3 month
instalments = 4
"""


def read_small(*changes: tuple[str, str]) -> Programme:
    """The small programme, each first text of a pair replaced by the second where it stands first."""
    text = SHORT
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    figure = r'\1 = { value = \2, unit = "\3", source = "talk", mark = "judgement" }'
    return read_programme(re.sub(r"^(\w+) = (-?[\d.]+) (\S.*)$", figure, text, flags=re.MULTILINE), CROPS, SOURCES)


def faults_of_small(*changes: tuple[str, str]) -> tuple[str, ...]:
    """What is wrong with the small programme after some changes."""
    try:
        read_small(*changes)
    except DataFault as fault:
        return fault.faults
    return ()
