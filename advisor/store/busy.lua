-- How much waits in each queue of one bucket. All queues of a store are asked once a second, so it is one call a
-- bucket and not one a queue.
--
-- KEYS  queues, sorted sets
-- ARGV  of each queue the score up to which it counts
--
-- Answers the counts, -1 for a queue that is none

local counts = {}
for place, key in ipairs(KEYS) do
  local kind = redis.call('TYPE', key)['ok']
  if kind == 'zset' then
    counts[place] = redis.call('ZCOUNT', key, '-inf', ARGV[place])
  else
    counts[place] = kind == 'none' and 0 or -1
  end
end
return counts
