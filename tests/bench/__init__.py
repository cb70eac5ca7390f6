"""``make bench``: what the service costs, measured so that it cannot flatter. It writes ``RESULTS.md`` here.

The webhook is compared with a bare application (``bare.py``), turn by turn in one run, since machines differ and
are noisy: five rounds, in each both sides once, their order alternating; what is said is the median of the
rounds' ratios. Each round starts all processes anew, since one that is lucky in its memory or its core stays so
for life. While one side is asked, all processes of the other are stopped (SIGSTOP).

Under ``everysec`` it is done twice. With each worker kept on a core of its own the rounds agree best, and nothing
flatters: this is the ratio to go by. Left to wander, as they are served, the threads of a worker hand their lock
from core to core; on a machine with nothing else to do that costs the bare application half as much again as its
work, the service far less in proportion, and the ratio comes out near 1. It is printed, and not to be boasted of.

Equal on both sides:

- gunicorn, its worker class, threads and options (``advisor.commands.serving.gunicorn_of``), two workers;
- Flask, the JSON library, the Redis client and its options (``advisor.store.link.client_at``);
- a ``redis-server`` of its own with the same options, appending to a file in the same way;
- the requests: the same bodies in the same order, from the same client processes, two a worker, each on one
  kept-alive connection, each asking again once it is answered, and each connected to the worker it is meant for;
- one MGET of the same keys, then one EVALSHA that writes the same keys with the same Redis commands and as many
  bytes, taken from what the service itself writes at that step of that conversation (``shapes.py``);
- the size of the answer.

Not equal, and so what the ratio is about: the bare side checks nothing in its request, keeps no promise (no
version compared, no message id looked at, no type of a key), names keys by plain digits instead of keyed hashes,
writes constant bytes, decides nothing, writes no line of log, counts no figures and goes no rounds over what is
due. Its script runs commands as they come. The table of Redis's commands says by how much their counts differ.

The service with signatures is compared with the service without in the same way; nothing else is different. What
a request is asked at the door is measured alone as well.

The client's time is part of both sides' rounds, since all share the machine's cores; it is small and the same for
both, but it draws the ratio of throughputs towards 1. So the workers' processor time a request is compared too.
The service's rounds call a script for each bucket once a second: among its commands they are part of evalsha, type
and zcount. Any answer but 200 ends the run. With ``appendfsync always`` both sides wait for the disk, which hides
what the service costs: the ratio that counts is the one with ``everysec``.
"""
