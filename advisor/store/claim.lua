-- Leases due messages of one bucket's outbox. What decides whether a message may leave is read here, inside the
-- script, so that nothing can change between the decision and the lease. A damaged message or lane is named and
-- left as it is; it holds no other back.
--
-- KEYS  1  set of number hashes that want no more messages
--       2…4 lanes of the outbox
--       5… the messages, in the order of the arguments
-- ARGV  1  now, Unix milliseconds      2  end of the lease      3  how long a state is kept, milliseconds
--       4… for each message: index of its lane in KEYS, outgoing id
--
-- Answers {'damaged', key of the set}
--       | {'claimed', damaged keys, (number of the message, attempts, expiry, body) for each one taken}

local KNOWN = {queued = true, sent = true, failed = true, expired = true, delivered = true}

local function holds(key, wanted)
  local kind = redis.call('TYPE', key)['ok']
  return kind == 'none' or kind == wanted
end

-- The parts of a message, nothing for one that is damaged. A value that is not there went at its own time.
local function message_in(key)
  if not holds(key, 'string') then return nil end
  local held = redis.call('GET', key)
  if not held then return 'gone', '0', '0' end
  local state, attempts, expires, to, body = string.match(held, '^(%l+) (%d+) (%d+) (%S+) ()')
  if not state or not KNOWN[state] or #attempts > 9 or #expires > 16 then return nil end
  if to ~= '-' and not string.find(to, '^[0-9a-f]+$') then return nil end
  return state, attempts, expires, to, string.sub(held, body)
end

if not holds(KEYS[1], 'set') then return {'damaged', KEYS[1]} end

local now, lease_end, kept_ms = tonumber(ARGV[1]), ARGV[2], ARGV[3]
local damaged, taken = {}, {}

local function end_as(state, key, lane, oid, attempts, expires)
  redis.call('SET', key, state .. ' ' .. attempts .. ' ' .. expires .. ' - ', 'PX', kept_ms)
  redis.call('ZREM', lane, oid)
end

local function take(number, key, lane, oid)
  local state, attempts, expires, to, text = message_in(key)
  if not state then
    redis.call('ZADD', lane, lease_end, oid)
    damaged[#damaged + 1] = key
  elseif state == 'gone' or (state == 'queued' and tonumber(expires) < now) then
    end_as('expired', key, lane, oid, attempts, expires)
  elseif state ~= 'queued' then
    redis.call('ZREM', lane, oid)
  elseif to ~= '-' and redis.call('SISMEMBER', KEYS[1], to) == 1 then
    end_as('failed', key, lane, oid, attempts, expires)
  else
    attempts = string.format('%d', tonumber(attempts) + 1)
    redis.call('SET', key, 'queued ' .. attempts .. ' ' .. expires .. ' ' .. to .. ' ' .. text, 'KEEPTTL')
    redis.call('ZADD', lane, lease_end, oid)
    taken[#taken + 1] = {string.format('%d', number), attempts, expires, text}
  end
end

for number = 1, #KEYS - 4 do
  local key, lane, oid = KEYS[4 + number], KEYS[tonumber(ARGV[2 + 2 * number])], ARGV[3 + 2 * number]
  if not holds(lane, 'zset') then
    damaged[#damaged + 1] = lane
  else
    local score = redis.call('ZSCORE', lane, oid)
    if score and tonumber(score) <= now then take(number, key, lane, oid) end
  end
end
return {'claimed', damaged, taken}
