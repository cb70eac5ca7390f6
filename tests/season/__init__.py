"""A whole season in one process: thousands of growers on a virtual clock, and what must hold on each day.

The use cases are the real ones (a message in, planning, deciding, handing over), the store is the one of plain
dictionaries, the gateway takes messages in this process. Growers are characters drawn by a seed; the same seed
gives the same log to the byte. ``python -m tests.season --growers 10000 --seed 1`` plays one.

`characters` who they are · `minds` what somebody answers to a screen · `phones` what is known on a phone ·
`agents` agents with a basic phone, `agent_words` what they type · `weather` the rain that falls · `office`,
`lists`, `sent_rounds` what the office does · `world` the service around them · `course` the days · `changed` what
was written since yesterday · `planted`, `planted_rain` faults, each of which breaks one promise.

What must hold each day, the kind of fault that a check names, and what is planted for it:

==============================================  ==============================  ===============================
promise                                         kind, and the check             planted
==============================================  ==============================  ===============================
no effect of an answer is lost                  lost: `checks`                  a count, an agent's record
of who has left nothing is kept or comes back   kept, returned: `checks`        consent, erase, an old list
who said stop hears nothing                     stopped: `checks`               a stop is not kept
one bag's answers are not another's             mixed: `checks`                 a count goes to the other
a number that cannot be is asked again          taken: `answers`                90 of 50; last below first
a verdict is that of its bag                    misjudged: `answers`            of what did not grow
no message of a round comes twice               doubled: `checks`               a step is not marked
a message brought twice has one answer          twice: `course`                 a repeat is a new message
every open test closes                          open: `checks`                  nobody is put on the list
at most seven paid messages to who answers      paid: `checks`                  who has answered is asked again
each leaves in its time and by day              untimely, quiet: `timely`       days moved; begun late; nights
whoever it is for gets it                       unsent: `timely`                a round looks at nobody
a round that is held is silent                  paused: `timely`                a held round goes on
what an agent records is told, once             untold, doubled: `relayed`      not told; told twice
a gauge's last reading stands                   rain: `relayed`                 a gauge is read but once
the PIN alone opens the work, on those in care  pin, care, kept: `agents`       no lock; everybody; PIN kept
village figures are those of the records        figures: `changed`              a figure is not counted
who should hear of rain does, on that day       missed: `rain_told`             late; no end; no second time
nobody else hears of it                         misled: `rain_told`             other zone; too little; sown
agents hear of it, of their own growers         miscounted: `agents_told`       others'; again; nothing
==============================================  ==============================  ===============================
"""
