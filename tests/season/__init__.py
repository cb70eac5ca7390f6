"""A whole season in one process: thousands of growers on a virtual clock, and what must hold on each day.

The use cases are the real ones (a message in, planning, deciding, handing over), the store is the one of plain
dictionaries, the gateway takes messages in this process. Growers are characters drawn by a seed; the same seed
gives the same log to the byte. ``python -m tests.season --growers 10000 --seed 1`` plays one.

`characters` who they are · `minds` what somebody answers to a screen · `phones` what is known on a phone ·
`agents` agents with a basic phone, `agent_words` what they type · `office`, `lists`, `sent_rounds` what the
office does · `world` the service around them · `course` the days · `checks`, `timely`, `relayed` what must hold ·
`changed` what was written since yesterday · `planted` faults that checks find.
"""
