-- Takes growers of one bucket who are due in a round, and leases them: until the lease ends nobody else takes them.
-- Nobody is taken of a round that is not running, nor while enough of the bucket's messages wait to be handed over.
--
-- KEYS  1  the bucket's copy of the rounds' states      2  due list of the round
--       3  the outbox's lane for rounds
-- ARGV  1  the round      2  now, Unix milliseconds      3  end of the lease      4  most to take
--       5  so many messages may wait in the lane to leave now      6  and so many in all
--
-- Answers {'damaged', key} | {'held'} | {'taken', growers}

local TYPES = {'hash', 'zset', 'zset'}
for place, wanted in ipairs(TYPES) do
  local kind = redis.call('TYPE', KEYS[place])['ok']
  if kind ~= 'none' and kind ~= wanted then return {'damaged', KEYS[place]} end
end

if redis.call('HGET', KEYS[1], ARGV[1]) ~= 'running' then return {'held'} end
local room = tonumber(ARGV[5]) - redis.call('ZCOUNT', KEYS[3], '-inf', ARGV[2])
local room_in_all = tonumber(ARGV[6]) - redis.call('ZCARD', KEYS[3])
local most = math.min(tonumber(ARGV[4]), room, room_in_all)
if most <= 0 then return {'held'} end
local due = redis.call('ZRANGEBYSCORE', KEYS[2], '-inf', ARGV[2], 'LIMIT', 0, string.format('%d', most))
for _, grower in ipairs(due) do redis.call('ZADD', KEYS[2], ARGV[3], grower) end
return {'taken', due}
