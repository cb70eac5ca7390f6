-- Leases due messages of one bucket's outbox. What decides whether a message may leave is read here, inside the
-- script, so that nothing can change between the decision and the lease.
--
-- KEYS  1  set of number hashes that want no more messages
--       2…4 lanes of the outbox
--       5… the messages, in the order of the arguments
-- ARGV  1  now, Unix milliseconds      2  end of the lease      3  how long a state is kept, milliseconds
--       4… for each message: index of its lane in KEYS, outgoing id
--
-- Answers {'damaged', key} | {'claimed', (number of the message, attempts, expiry, body) for each one taken}

local function holds(key, wanted)
  local kind = redis.call('TYPE', key)['ok']
  return kind == 'none' or kind == wanted
end

if not holds(KEYS[1], 'set') then return {'damaged', KEYS[1]} end
for place = 2, 4 do
  if not holds(KEYS[place], 'zset') then return {'damaged', KEYS[place]} end
end
for place = 5, #KEYS do
  if not holds(KEYS[place], 'string') then return {'damaged', KEYS[place]} end
end

local now, lease_end, kept_ms = tonumber(ARGV[1]), ARGV[2], ARGV[3]
local taken = {'claimed'}

for number = 1, #KEYS - 4 do
  local key, lane, oid = KEYS[4 + number], KEYS[tonumber(ARGV[2 + 2 * number])], ARGV[3 + 2 * number]
  local score = redis.call('ZSCORE', lane, oid)
  if score and tonumber(score) <= now then
    local held = redis.call('GET', key) or ''
    local state, attempts, expires, to, body = string.match(held, '^(%a+) (%d+) (%d+) (%S+) ()')
    local ended = nil
    if state == 'queued' and tonumber(expires) < now then
      ended = 'expired'
    elseif state == 'queued' and to ~= '-' and redis.call('SISMEMBER', KEYS[1], to) == 1 then
      ended = 'failed'
    end
    if state ~= 'queued' then
      redis.call('ZREM', lane, oid)
    elseif ended then
      redis.call('SET', key, ended .. ' ' .. attempts .. ' ' .. expires .. ' - ', 'PX', kept_ms)
      redis.call('ZREM', lane, oid)
    else
      attempts = string.format('%d', tonumber(attempts) + 1)
      local text = string.sub(held, body)
      redis.call('SET', key, 'queued ' .. attempts .. ' ' .. expires .. ' ' .. to .. ' ' .. text)
      redis.call('ZADD', lane, lease_end, oid)
      taken[#taken + 1] = {string.format('%d', number), attempts, expires, text}
    end
  end
end
return taken
