-- Starts a round, or changes the state of one. A round that was stopped stays stopped.
--
-- KEYS  1  the round's row      2  set of all rounds
-- ARGV  1  the round      2  its new state      3  to start it: when, Unix milliseconds      4  and its text
--
-- Answers {'damaged', key} | {'none'} | {'there', state, text} | {'done'}

local TYPES = {'hash', 'set'}
for place, wanted in ipairs(TYPES) do
  local kind = redis.call('TYPE', KEYS[place])['ok']
  if kind ~= 'none' and kind ~= wanted then return {'damaged', KEYS[place]} end
end

local state = redis.call('HGET', KEYS[1], 'state')
if ARGV[3] then
  if state then return {'there', state, redis.call('HGET', KEYS[1], 'text')} end
  redis.call('HSET', KEYS[1], 'state', ARGV[2], 'started', ARGV[3], 'text', ARGV[4])
  redis.call('SADD', KEYS[2], ARGV[1])
  return {'done'}
end
if not state then return {'none'} end
if state == 'stopped' and ARGV[2] ~= state then return {'there', state, ''} end
redis.call('HSET', KEYS[1], 'state', ARGV[2])
return {'done'}
