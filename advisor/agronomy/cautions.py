"""What must be said beside a result that can hurt somebody.

A calculation that leads to poison, dust or a spoilt inoculant carries the keys of its cautions as data, so that no
screen can show the figures and leave the caution out. Keys only: the sentences belong to the languages. A key is
listed once, and a result carries keys of this list only. A module whose functions give bare numbers has theirs
as its own ``CAUTIONS``.

- ``dressed_seed_is_poison``: seed dressed with a fungicide or insecticide is never eaten, fed or sold as grain.
- ``no_bare_hands_on_dressed_seed``: dressed seed is handled with gloves, or with a bag over the hand.
- ``no_bare_hands_with_fertiliser``: fertiliser is handled with gloves, or with a bag over the hand; not on broken
  skin, not into the wind.
- ``wash``: hands, face and what was used are washed afterwards, away from wells and cooking pots.
- ``keep_from_children_and_food``: kept where no child, animal, food or water comes near it.
- ``follow_the_pack``: where the pack says something else, the pack is right.
- ``ask_dealer_or_extension``: in doubt a licensed dealer or the extension office has the last word.
- ``inoculant_in_shade``: inoculant and treated seed stay in the shade and cool, never in sun or a hot house.
- ``inoculant_apart_from_fertiliser``: treated seed touches neither fertiliser nor its dust, nor dressed seed.
- ``treat_only_the_batch``: no more seed is treated than is sown while the bacteria live.
- ``opened_pack_does_not_keep``: what is left of an opened pack is dead after its days; it is not counted on.
- ``part_of_pack_is_safest``: a spoon measures powders of unlike weight; a part of a pack is the safer measure.
- ``fertiliser_apart_from_seed``: soil lies between fertiliser and seed; touching it burns the sprout.
- ``cover_mouth_from_dust``: threshing and cleaning are done with a cloth over nose and mouth, the wind behind one.
- ``seed_is_not_heated``: seed is never dried on hot iron, by a fire or in a closed car; heat kills it.
- ``store_apart_from_chemicals``: grain and seed lie apart from dressed seed, fertiliser and chemicals, never in
  their old bags.
- ``weigh_one_cap``: a cap of one fertiliser is not a cap of another; the first ones are weighed.
"""

from __future__ import annotations

from typing import Final

DRESSED_SEED_IS_POISON: Final = "dressed_seed_is_poison"
NO_BARE_HANDS_ON_DRESSED_SEED: Final = "no_bare_hands_on_dressed_seed"
NO_BARE_HANDS_WITH_FERTILISER: Final = "no_bare_hands_with_fertiliser"
WASH: Final = "wash"
KEEP_FROM_CHILDREN_AND_FOOD: Final = "keep_from_children_and_food"
FOLLOW_THE_PACK: Final = "follow_the_pack"
ASK_DEALER_OR_EXTENSION: Final = "ask_dealer_or_extension"
INOCULANT_IN_SHADE: Final = "inoculant_in_shade"
INOCULANT_APART_FROM_FERTILISER: Final = "inoculant_apart_from_fertiliser"
TREAT_ONLY_THE_BATCH: Final = "treat_only_the_batch"
OPENED_PACK_DOES_NOT_KEEP: Final = "opened_pack_does_not_keep"
PART_OF_PACK_IS_SAFEST: Final = "part_of_pack_is_safest"
FERTILISER_APART_FROM_SEED: Final = "fertiliser_apart_from_seed"
COVER_MOUTH_FROM_DUST: Final = "cover_mouth_from_dust"
SEED_IS_NOT_HEATED: Final = "seed_is_not_heated"
STORE_APART_FROM_CHEMICALS: Final = "store_apart_from_chemicals"
WEIGH_ONE_CAP: Final = "weigh_one_cap"

#: Every key there is.
CAUTIONS: Final = (
    DRESSED_SEED_IS_POISON,
    NO_BARE_HANDS_ON_DRESSED_SEED,
    NO_BARE_HANDS_WITH_FERTILISER,
    WASH,
    KEEP_FROM_CHILDREN_AND_FOOD,
    FOLLOW_THE_PACK,
    ASK_DEALER_OR_EXTENSION,
    INOCULANT_IN_SHADE,
    INOCULANT_APART_FROM_FERTILISER,
    TREAT_ONLY_THE_BATCH,
    OPENED_PACK_DOES_NOT_KEEP,
    PART_OF_PACK_IS_SAFEST,
    FERTILISER_APART_FROM_SEED,
    COVER_MOUTH_FROM_DUST,
    SEED_IS_NOT_HEATED,
    STORE_APART_FROM_CHEMICALS,
    WEIGH_ONE_CAP,
)

#: What is said where a bag is opened and its content divided among people: it may be seed or fertiliser.
DIVIDED_PACK: Final = (
    DRESSED_SEED_IS_POISON,
    NO_BARE_HANDS_ON_DRESSED_SEED,
    NO_BARE_HANDS_WITH_FERTILISER,
    WASH,
    KEEP_FROM_CHILDREN_AND_FOOD,
    FOLLOW_THE_PACK,
)
