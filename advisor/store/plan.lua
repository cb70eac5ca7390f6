-- One step of a planner: who of a bucket is due when, and how far it has come, in one. Nothing is written for a round
-- that is not running, nor where another planner has gone on meanwhile.
--
-- KEYS  1  the bucket's copy of the rounds' states
--       2  due list of the round           3  the round's hash in the bucket
--       4  growers with a value in the bucket, so that nobody is planned who was erased since they were read
-- ARGV  1  the round      2  how far the planner was      3  how far it is now
--       4… moment in Unix milliseconds and grower, by turns
--
-- Answers {'damaged', key} | {'held'} | {'conflict'} | {'planned'}

local TYPES = {'hash', 'zset', 'hash', 'zset'}
for place, wanted in ipairs(TYPES) do
  local kind = redis.call('TYPE', KEYS[place])['ok']
  if kind ~= 'none' and kind ~= wanted then return {'damaged', KEYS[place]} end
end

if redis.call('HGET', KEYS[1], ARGV[1]) ~= 'running' then return {'held'} end
if (redis.call('HGET', KEYS[3], 'plan') or '') ~= ARGV[2] then return {'conflict'} end

local growers = {}
for at = 5, #ARGV, 2 do growers[#growers + 1] = ARGV[at] end
if #growers > 0 then
  local places = redis.call('ZMSCORE', KEYS[4], unpack(growers))
  local added = {}
  for number, grower in ipairs(growers) do
    if places[number] then
      added[#added + 1] = ARGV[2 + 2 * number]
      added[#added + 1] = grower
    end
  end
  if #added > 0 then redis.call('ZADD', KEYS[2], unpack(added)) end
end
redis.call('HSET', KEYS[3], 'plan', ARGV[3])
return {'planned'}
