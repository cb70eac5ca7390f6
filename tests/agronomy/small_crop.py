"""A crop as small as one can be with all that is asked of its season and harvest, in SI units."""

from __future__ import annotations

import re

from advisor.agronomy.crop import Crop, read_crop
from advisor.agronomy.errors import DataFault
from advisor.agronomy.sources import Source

SOURCES = (Source("talk", "Somebody, said so", ""),)

#: A line such as ``least = 20 seeds`` stands for a figure with source and mark.
SHORT = """
key = "pea"
thousand_seed_weight = 200 g
emergence = 0.84 1
bed_emergence = 0.94 1
good_over = 81 percent
poor_under = 61 percent
refuse_under = 51 percent
firm_from = 52 seeds
least = 21 seeds
most = 401 seeds
seeds_per_hole_max = 4 seeds

[counts]
first = 5 day
final = 9 day

[calendar]
test_from = 17 day
test_to = 11 day
buy_by = 6 day
pick_up = 2 day
emergence_from = 7 day
emergence_to = 10 day
nodules_from = 35 day
nodules_to = 42 day
flowering = 45 day
harvest_within = 14 day
drying = 8 day
retest_after = 30 day
dry_down = 20 day

[[calendar.weedings]]
day = 21 day

[[calendar.weedings]]
day = 43 day

[soil]
ph_low = 5.5 pH
ph_high = 8.5 pH

[[harvest.nodules]]
key = "ten"
enough = 10 nodules/plant
none_under = 2 nodules/plant
least_plants = 5 plants
most_nodules = 500 nodules/plant
rescue_low = 56 kg N/ha
rescue_high = 60 kg N/ha

[[harvest.nodules]]
key = "seven"
enough = 7 nodules/plant
none_under = 1 nodules/plant
least_plants = 6 plants
most_nodules = 400 nodules/plant
rescue_low = 67 kg N/ha
rescue_high = 90 kg N/ha

[harvest.yield]
seeds_per_pod = 2.5 seeds/pod
seeds_per_pod_most = 4 seeds/pod
pods_per_plant_most = 401 pods/plant
stand_most = 101 plants/m2
loss_low = 0.1 1
loss_high = 0.12 1
plausible = 4000 kg/ha

[harvest.grain]
trade = 13 percent
grain = 12 percent
seed = 11 percent
jar_low = 14 percent
jar_high = 15 percent
halved_by_moisture = 1.5 percent
halved_by_warmth = 6 celsius
thresh_low = 13.5 percent
thresh_high = 15.5 percent

[[harvest.grain.storage]]
moisture = 14 percent
temperature = 10 celsius
keeps = 336 day

[[harvest.grain.storage]]
moisture = 16 percent
temperature = 10 celsius
keeps = 128 day

[[harvest.grain.storage]]
moisture = 14 percent
temperature = 21 celsius
keeps = 83 day

[harvest.nitrogen_left]
returned_low = 15 kg N/ha
returned_high = 30 kg N/ha
removed_low = 1 kg N/ha
removed_high = 6 kg N/ha
"""


def read_small_crop(*changes: tuple[str, str]) -> Crop:
    """The small crop, each first text of a pair replaced by the second where it stands first."""
    text = SHORT
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    figure = r'\1 = { value = \2, unit = "\3", source = "talk", mark = "judgement" }'
    return read_crop(re.sub(r"^(\w+) = (-?[\d.]+) (\S.*)$", figure, text, flags=re.MULTILINE), SOURCES)


def faults_of_small_crop(*changes: tuple[str, str]) -> tuple[str, ...]:
    """What is wrong with the small crop after some changes."""
    try:
        read_small_crop(*changes)
    except DataFault as fault:
        return fault.faults
    return ()
