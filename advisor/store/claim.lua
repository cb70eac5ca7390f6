-- Leases due messages of one bucket's outbox. What decides whether a message may leave is read here, inside the
-- script, so that nothing can change between the decision and the lease. A damaged message or lane is named and
-- left as it is; it holds no other back. Where a stop, a consent, a pause or a count cannot be read, nothing that it
-- could forbid leaves.
--
-- KEYS  1  set of number hashes that want no more messages
--       2…4 lanes of the outbox: answers, alerts, rounds
--       5  growers who agreed (and some who must not be written to, who are in the set above)
--       6  what each round may do
--       7  growers, and how many messages of rounds each got today
--       8… the messages, in the order of the arguments
-- ARGV  1  now, Unix milliseconds      2  end of the lease      3  how long a state is kept, milliseconds
--       4  today, as it is counted     5  most messages of rounds a grower and day, 0 for no limit
--       6  rounds may leave before this moment      7  when they may again
--       8  when they may again for a grower who got the most of today
--       9… for each message: index of its lane in KEYS, outgoing id
--
-- Answers {'damaged', key of the set}
--       | {'claimed', damaged keys, (number of the message, attempts, expiry, begun before, grower, round, page
--          before, body) for each one taken}

local KNOWN = {queued = true, sent = true, unknown = true, failed = true, expired = true, dead = true, delivered = true}

-- A paused round is looked at again after so long, a page whose page before is under way after so long.
local PAUSE_MS, PAGE_MS = 15000, 500
-- A day's count is kept for longer than any day, wherever its zone.
local DAY_MS = 172800000

local STOPS, AGREED, PAUSES, COUNTS = KEYS[1], KEYS[5], KEYS[6], KEYS[7]
-- Place of the rounds among KEYS.
local ROUNDS = 4

-- The type of each key that was looked at. A key that is none yet, and comes to be in here, is of the wanted one.
local kinds = {}

local function holds(key, wanted)
  local kind = kinds[key]
  if not kind then
    kind = redis.call('TYPE', key)['ok']
    kinds[key] = kind
  end
  return kind == 'none' or kind == wanted
end

-- A message, nothing for one that is damaged. A value that is not there went at its own time.
local function message_in(key)
  local held = redis.pcall('GET', key)
  if type(held) == 'table' then
    if holds(key, 'string') then error(held['err']) end
    return nil
  end
  if not held then return {state = 'gone', attempts = '0', expires = '0'} end
  local state, attempts, expires, receiver, body = string.match(held, '^(%l+) (%d+) (%d+) (%S+) ()')
  if not state or not KNOWN[state] or #attempts > 9 or #expires > 16 then return nil end
  local to, grower, round, after, begun, counted =
    string.match(receiver, '^([^,]+),([^,]+),([^,]+),([^,]+),(%d+),([^,]+)$')
  if not to then to, grower, round, after, begun, counted = receiver, '-', '-', '-', '0', '-' end
  if to ~= '-' and not string.find(to, '^[0-9a-f]+$') then return nil end
  return {state = state, attempts = attempts, expires = expires, to = to, grower = grower, round = round,
          after = after, begun = begun, counted = counted, body = string.sub(held, body)}
end

if not holds(STOPS, 'set') then return {'damaged', STOPS} end

local now, lease_end, kept_ms = tonumber(ARGV[1]), ARGV[2], ARGV[3]
local today, most = ARGV[4], tonumber(ARGV[5])
local damaged, taken, is_taken, held = {}, {}, {}, {}
local states, is_counted = {}, false

-- What is damaged beside the message itself: it is named, and the message waits as long as a lease.
local function sound(key, kind)
  if holds(key, kind) then return true end
  damaged[#damaged + 1] = key
  return false
end

local function end_as(state, key, lane, oid, message)
  redis.call('SET', key, state .. ' ' .. message.attempts .. ' ' .. message.expires .. ' - ', 'PX', kept_ms)
  redis.call('ZREM', lane, oid)
end

local function wait(lane, oid, until_ms)
  redis.call('ZADD', lane, until_ms, oid)
end

-- Until when the page before holds this one back, nothing where it does not.
local function page_holds(lane, message)
  if message.after == '-' or is_taken[message.after] ~= nil then return nil end
  local score = redis.call('ZSCORE', lane, message.after)
  if not score then return nil end
  return string.format('%.0f', math.min(tonumber(score), now + PAGE_MS) + 1)
end

-- What a round's message must pass beside all others; false where it may not leave now.
local function round_lets(key, lane, oid, message)
  if message.round ~= '-' then
    if not sound(PAUSES, 'hash') then wait(lane, oid, lease_end) return false end
    local state = states[message.round]
    if not state then
      state = redis.call('HGET', PAUSES, message.round) or 'running'
      states[message.round] = state
    end
    if state == 'stopped' then end_as('failed', key, lane, oid, message) return false end
    if state ~= 'running' then wait(lane, oid, string.format('%.0f', now + PAUSE_MS)) return false end
  end
  if now >= tonumber(ARGV[6]) then wait(lane, oid, ARGV[7]) return false end
  if most == 0 or message.grower == '-' or message.counted == today then return true end
  if not sound(COUNTS, 'hash') then wait(lane, oid, lease_end) return false end
  local count = tonumber(redis.call('HGET', COUNTS, message.grower) or '0')
  if not count or count >= most then wait(lane, oid, ARGV[8]) return false end
  redis.call('HSET', COUNTS, message.grower, string.format('%.0f', count + 1))
  is_counted = true
  message.counted = today
  return true
end

local function take(number, key, place, lane, oid)
  local message = message_in(key)
  if not message then
    wait(lane, oid, lease_end)
    damaged[#damaged + 1] = key
    is_taken[oid] = false
    return
  end
  local is_late = tonumber(message.expires) < now
  if message.state == 'gone' or (message.state == 'queued' and is_late and message.begun == '0') then
    end_as('expired', key, lane, oid, message)
  elseif message.state ~= 'queued' then
    redis.call('ZREM', lane, oid)
  elseif message.to ~= '-' and redis.call('SISMEMBER', STOPS, message.to) == 1 then
    end_as('failed', key, lane, oid, message)
  elseif place > 2 and message.grower ~= '-' and not sound(AGREED, 'zset') then
    wait(lane, oid, lease_end)
  elseif place > 2 and message.grower ~= '-' and not redis.call('ZSCORE', AGREED, message.grower) then
    end_as('failed', key, lane, oid, message)
  else
    -- one that is late and may have arrived goes to the sender, who puts it aside
    local until_ms = not is_late and page_holds(lane, message)
    if until_ms then
      wait(lane, oid, until_ms)
      held[#held + 1] = {message.after, number, key, place, lane, oid}
      return
    end
    if place == ROUNDS and not is_late and not round_lets(key, lane, oid, message) then return end
    local before = message.begun
    message.attempts = string.format('%d', tonumber(message.attempts) + 1)
    if before == '0' then message.begun = ARGV[1] end
    local receiver = table.concat(
      {message.to, message.grower, message.round, message.after, message.begun, message.counted}, ',')
    redis.call('SET', key,
      'queued ' .. message.attempts .. ' ' .. message.expires .. ' ' .. receiver .. ' ' .. message.body, 'KEEPTTL')
    wait(lane, oid, lease_end)
    is_taken[oid] = true
    taken[#taken + 1] = {string.format('%d', number), message.attempts, message.expires, before, message.grower,
                         message.round, message.after, message.body}
  end
end

for number = 1, #KEYS - 7 do
  local place = tonumber(ARGV[7 + 2 * number])
  local key, lane, oid = KEYS[7 + number], KEYS[place], ARGV[8 + 2 * number]
  if not holds(lane, 'zset') then
    damaged[#damaged + 1] = lane
  else
    local score = redis.call('ZSCORE', lane, oid)
    if score and tonumber(score) <= now then take(number, key, place, lane, oid) end
  end
end
-- Pages whose page before came up behind them, as after a wait of its own, leave right behind it.
for _, page in ipairs(held) do
  if is_taken[page[1]] then take(unpack(page, 2)) end
end
if is_counted then redis.call('PEXPIRE', COUNTS, DAY_MS) end
return {'claimed', damaged, taken}
