-- Says of messages of one bucket how their hand-over went. States only move up. What was given up, or may have
-- arrived, keeps number and text and is put aside for people to look at.
--
-- KEYS  1…3 lanes of the outbox
--       4  the messages that are put aside
--       5… of each message: its key, and the traces of its grower (the same key again where nothing is put aside)
-- ARGV  1  now, Unix milliseconds
--       2  how long a state is kept      3  how long what is put aside is kept, milliseconds
--       4… of each message: outgoing id, its lane's place in KEYS or 0 for any, state, when to try again, attempts
--          and begun as they are from now on (empty: as they are), its trace, and for which attempt it was claimed
--          (empty: any)
--
-- Answers the damaged keys

local RANK = {queued = 0, unknown = 1, sent = 2, failed = 3, expired = 3, dead = 3, delivered = 4}
local ASIDE = {unknown = true, dead = true}

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

local function whole(number) return string.format('%.0f', number) end

local damaged = {}
local now, kept_ms, aside_ms = tonumber(ARGV[1]), ARGV[2], ARGV[3]

local function server_ms()
  local told = redis.call('TIME')
  return tonumber(told[1]) * 1000 + math.floor(tonumber(told[2]) / 1000)
end

-- The same as the commit's trace: an erase must find what is put aside.
local function trace(key, member)
  if member == '' or not holds(key, 'zset') then return end
  local at, left_ms = server_ms(), redis.call('PTTL', key)
  redis.call('ZADD', key, whole(at + tonumber(aside_ms)), member)
  redis.call('PEXPIRE', key, whole(math.max(left_ms, tonumber(aside_ms))))
end

local function unqueue(place, oid)
  for lane = 1, 3 do
    if (place == 0 or place == lane) and holds(KEYS[lane], 'zset') then redis.call('ZREM', KEYS[lane], oid) end
  end
end

local function settle(key, traces, oid, place, state, again, attempts, begun, member, claim)
  local held = redis.pcall('GET', key)
  if type(held) == 'table' then
    if holds(key, 'string') then error(held['err']) end
    return false
  end
  if not held then return true end
  local was, tries, expires, receiver, body = string.match(held, '^(%l+) (%d+) (%d+) (%S+) ()')
  if not was or not RANK[was] or #tries > 9 or #expires > 16 then return false end
  if not string.find(receiver, '^[0-9a-f]+$') and not string.find(receiver, '^[0-9a-f]+,')
    and string.sub(receiver .. ',', 1, 2) ~= '-,' then return false end
  if place > 0 and not holds(KEYS[place], 'zset') then return false, KEYS[place] end
  -- somebody else has it since the lease was over
  if state == 'later' and claim ~= '' and claim ~= tries then return true end
  if attempts ~= '' then tries = attempts end
  if begun ~= '' then receiver = string.gsub(receiver, '^(.*),%d+(,[^,]*)$', '%1,' .. begun .. '%2') end
  local head = ' ' .. tries .. ' ' .. expires .. ' '
  if state == 'later' then
    -- one that a newer message took the place of is in no lane, and stays out of it
    if was ~= 'queued' or not redis.call('ZSCORE', KEYS[place], oid) then return true end
    redis.call('SET', key, was .. head .. receiver .. ' ' .. string.sub(held, body), 'KEEPTTL')
    redis.call('ZADD', KEYS[place], again, oid)
    return true
  end
  if RANK[state] <= RANK[was] then return true end
  if (ASIDE[state] or ASIDE[was]) and not holds(KEYS[4], 'zset') then return false, KEYS[4] end
  if ASIDE[state] then
    redis.call('SET', key, state .. head .. receiver .. ' ' .. string.sub(held, body), 'PX', aside_ms)
    redis.call('ZREMRANGEBYSCORE', KEYS[4], '-inf', whole(now - tonumber(aside_ms)))
    redis.call('ZADD', KEYS[4], ARGV[1], oid)
    trace(traces, member)
  else
    redis.call('SET', key, state .. head .. '- ', 'PX', kept_ms)
    if ASIDE[was] then redis.call('ZREM', KEYS[4], oid) end
  end
  unqueue(place, oid)
  return true
end

local at = 4
for number = 5, #KEYS, 2 do
  local oid, place, state, again, attempts, begun, member, claim = unpack(ARGV, at, at + 7)
  local is_sound, key =
    settle(KEYS[number], KEYS[number + 1], oid, tonumber(place), state, again, attempts, begun, member, claim)
  if not is_sound then damaged[#damaged + 1] = key or KEYS[number] end
  at = at + 8
end
return damaged
