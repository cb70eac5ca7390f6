-- Everything or nothing. Redis does not roll back, so whatever could fail is looked at before the first write:
-- whether the message was answered, the effect applied, the value changed, the type of every key, whether a
-- figure can be added to, and what is queued already can be read. The first write is the line of history, which
-- the server itself refuses whole where it has no place.
--
-- KEYS  every key that is read or written
-- ARGV  1  index of the message's key, 0 for none
--       2  index of the applied effect's key, 0 for none
--       3  index of the guarded key, 0 for none
--       4  what the guarded value must begin with, empty when the key must not exist
--       5… operations, each: name, index of its key, number of further arguments, these arguments
--
-- Answers {'remembered', value, key} | {'conflict'} | {'damaged', key} | {'committed'}

local TYPE = {
  look = 'string', set = 'string', offer = 'string', del = 'string', zadd = 'zset', zrem = 'zset',
  xadd = 'stream', hincrby = 'hash', sadd = 'set', srem = 'set',
  trace = 'zset', emptied = 'zset', known = 'hash', blank = 'string', lines = 'none', hdel = 'hash', retire = 'any',
  unlist = 'any', absent = 'set', readdress = 'any',
}

-- How what waits in a queue begins.
local SHAPE = {out = '^%l+ %d+ %d+ %S+ ', relay = '^%x+ '}

-- Lua counts exactly up to here.
local MOST = 9007199254740991

-- The type of each key that was looked at.
local kinds = {}

local function holds(key, wanted)
  local kind = kinds[key]
  if not kind then
    kind = redis.call('TYPE', key)['ok']
    kinds[key] = kind
  end
  return kind == 'none' or kind == wanted
end

-- What a key holds, and its type with it: asked for the wrong one the server refuses. False for a key of another.
local function read(kind, command, key, ...)
  local held = redis.pcall(command, key, ...)
  if type(held) ~= 'table' then
    kinds[key] = kind
    return true, held
  end
  if holds(key, kind) then error(held['err']) end
  return false
end

-- Redis adds only to what it would write itself; 15 digits leave room for all that one commit can add.
local function is_count(held)
  return not held or held == '0' or (#held <= 15 and string.find(held, '^%-?[1-9]%d*$') ~= nil)
end

-- Whether a set of traces is the one that was read: what came since would otherwise be left behind.
local function is_same(key, first, last)
  if redis.call('ZCARD', key) ~= last - first + 1 then return false end
  for place = first, last do
    if not redis.call('ZSCORE', key, ARGV[place]) then return false end
  end
  return true
end

-- Whether a bucket knows of these rounds and of no others: one that was started since would be left out.
local function are_known(key, first, last)
  if redis.call('HLEN', key) ~= last - first + 1 then return false end
  for place = first, last do
    if redis.call('HEXISTS', key, ARGV[place]) == 0 then return false end
  end
  return true
end

local function now_ms()
  local told = redis.call('TIME')
  return tonumber(told[1]) * 1000 + math.floor(tonumber(told[2]) / 1000)
end

-- The last id that a history gave out, which an emptied one still goes by.
local function last_id(key)
  if redis.call('EXISTS', key) == 0 then return '0', '0' end
  local told = redis.call('XINFO', 'STREAM', key)
  for place = 1, #told, 2 do
    if told[place] == 'last-generated-id' then return string.match(told[place + 1], '^(%d+)%-(%d+)$') end
  end
end

-- An entry's id is its moment; where the clock stood still or went back, the next free id. Nothing when there is
-- none that can be counted.
local function entry_id(key, at)
  local ms, sequence = last_id(key)
  if not ms or #ms > 16 or tonumber(ms) >= MOST then return nil end
  if tonumber(at) > tonumber(ms) then return at .. '-0' end
  if #sequence > 15 then return string.format('%.0f', tonumber(ms) + 1) .. '-0' end
  return ms .. '-' .. string.format('%.0f', tonumber(sequence) + 1)
end

-- A line of history: its moment, the oldest moment to keep, its fields.
local function line(how, key, id, first, last)
  return how('XADD', key, 'MINID', '=', ARGV[first + 1], id, unpack(ARGV, first + 2, last))
end

for place = 1, 2 do
  local key = KEYS[tonumber(ARGV[place])]
  if key then
    local is_sound, held = read('string', 'GET', key)
    if not is_sound then return {'damaged', key} end
    if held then return {'remembered', held, key} end
  end
end

local guarded = KEYS[tonumber(ARGV[3])]
if guarded then
  local is_sound, held = read('string', 'GET', guarded)
  if not is_sound then return {'damaged', guarded} end
  local beginning = ARGV[4]
  if beginning == '' and held then return {'conflict'} end
  if beginning ~= '' and (not held or string.sub(held, 1, #beginning) ~= beginning) then return {'conflict'} end
end

-- Where the one line of history stands among the arguments.
local told_at
local at = 5
while at <= #ARGV do
  local name, key = ARGV[at], KEYS[tonumber(ARGV[at + 1])]
  local first, last = at + 3, at + 2 + tonumber(ARGV[at + 2])
  local kind = name == 'drop' and ARGV[first] or TYPE[name]
  if not kind then error('unknown operation ' .. name) end
  if name == 'xadd' then
    if told_at then error('two lines of history') end
    told_at = at
  elseif name == 'hincrby' then
    local is_sound, held = read(kind, 'HGET', key, ARGV[first])
    if not is_sound or not is_count(held) then return {'damaged', key} end
  elseif name == 'offer' then
    local is_sound, held = read(kind, 'GET', key)
    if not is_sound or (held and not string.find(held, SHAPE[ARGV[first + 5]])) then return {'damaged', key} end
    local queue = KEYS[tonumber(ARGV[first + 1])]
    if not holds(queue, 'zset') then return {'damaged', queue} end
  elseif kind ~= 'any' and not holds(key, kind) then
    return {'damaged', key}
  elseif name == 'emptied' and not is_same(key, first, last) then
    return {'conflict'}
  elseif name == 'known' and not are_known(key, first, last) then
    return {'conflict'}
  elseif name == 'absent' and redis.call('SISMEMBER', key, ARGV[first]) == 1 then
    return {'conflict'}
  elseif name == 'blank' then
    local held = redis.call('GET', key)
    if held and not string.find(held, '^[!-~]* ') then return {'damaged', key} end
  end
  at = last + 1
end

-- The line is written first of all: where its moment is no id that the history takes, nothing is written yet.
local next_id
if told_at then
  local key, first, last = KEYS[tonumber(ARGV[told_at + 1])], told_at + 3, told_at + 2 + tonumber(ARGV[told_at + 2])
  if type(line(redis.pcall, key, ARGV[first] .. '-0', first, last)) == 'table' then
    if not holds(key, 'stream') then return {'damaged', key} end
    next_id = entry_id(key, ARGV[first])
    if not next_id then return {'damaged', key} end
    line(redis.call, key, next_id, first, last)
  end
end

local function set(key, value, ttl_ms, ...)
  if ttl_ms == '0' then return redis.call('SET', key, value, ...) end
  return redis.call('SET', key, value, 'PX', ttl_ms, ...)
end

-- An answered message stays known for a while, without the answer.
local function blank(key, most_ms)
  local held, left_ms = redis.call('GET', key), redis.call('PTTL', key)
  if not held then return end
  if left_ms < 0 or left_ms > tonumber(most_ms) then left_ms = tonumber(most_ms) end
  if left_ms > 0 then
    redis.call('SET', key, string.match(held, '^[!-~]* '), 'PX', string.format('%.0f', left_ms))
  end
end

-- Remembers for as long as a name lasts that it is there, and lets go of those that are over.
local function trace(key, kept_ms, member)
  local now = now_ms()
  local left_ms = redis.call('PTTL', key)
  redis.call('ZREMRANGEBYSCORE', key, '-inf', string.format('%.0f', now))
  redis.call('ZADD', key, string.format('%.0f', now + tonumber(kept_ms)), member)
  if left_ms < tonumber(kept_ms) then left_ms = tonumber(kept_ms) end
  redis.call('PEXPIRE', key, string.format('%.0f', left_ms))
end

-- A message that waits for nobody any more: number and text go, its state stays. What is damaged holds nobody up,
-- least of all a stop; the claim lets it not leave either.
local function retire(key, lane, oid, kept_ms)
  if holds(lane, 'zset') then redis.call('ZREM', lane, oid) end
  if not holds(key, 'string') then return end
  local attempts, expires = string.match(redis.call('GET', key) or '', '^queued (%d+) (%d+) ')
  if attempts then redis.call('SET', key, 'failed ' .. attempts .. ' ' .. expires .. ' - ', 'PX', kept_ms) end
end

-- A message that waits goes to another number. Once it was claimed it may have arrived under its id, which must not
-- stand for a message to somebody else. What is damaged holds nobody up.
local function readdress(key, to, was, now)
  if not holds(key, 'string') then return end
  local head, attempts, rest = string.match(redis.call('GET', key) or '', '^(queued (%d+) %d+ )(.*)$')
  if not head then return end
  local receiver, more, body = string.match(rest, '^([^%s,]+)(%S*) (.*)$')
  if not receiver or string.sub(body, 1, #was) ~= was then return end
  local begun = string.match(more, '^,[^,]+,[^,]+,[^,]+,(%d+),') or attempts
  if tonumber(begun) ~= 0 then return end
  if receiver ~= '-' then receiver = to end
  redis.call('SET', key, head .. receiver .. more .. ' ' .. now .. string.sub(body, #was + 1), 'KEEPTTL')
end

-- The newest message of a round and grower is the only one that waits: the others are told by their traces.
local function only_newest(traces, lane, round, oid)
  for _, member in ipairs(redis.call('ZRANGE', traces, 0, -1)) do
    local older, of = string.match(member, '^o2([^/]+)/(.+)$')
    if of == round and older ~= oid then redis.call('ZREM', lane, older) end
  end
end

at = 5
while at <= #ARGV do
  local name, key = ARGV[at], KEYS[tonumber(ARGV[at + 1])]
  local first, last = at + 3, at + 2 + tonumber(ARGV[at + 2])
  if name == 'set' then
    set(key, ARGV[first], ARGV[first + 1])
  elseif name == 'offer' then
    local place, due_ms, member, ttl_ms, _, traces, round = unpack(ARGV, first + 1, last)
    local queue = KEYS[tonumber(place)]
    if set(key, ARGV[first], ttl_ms, 'NX') then
      redis.call('ZADD', queue, due_ms, member)
      if traces then only_newest(KEYS[tonumber(traces)], queue, round, member) end
    end
  elseif name == 'unlist' then
    if holds(key, 'zset') then redis.call('ZREM', key, ARGV[first]) end
  elseif name == 'retire' then
    retire(key, KEYS[tonumber(ARGV[first])], ARGV[first + 1], ARGV[first + 2])
  elseif name == 'readdress' then
    readdress(key, unpack(ARGV, first, last))
  elseif name == 'lines' then
    local from = first
    while from <= last do
      local many = tonumber(ARGV[from + 1])
      redis.call('XADD', key, ARGV[from], unpack(ARGV, from + 2, from + 1 + many))
      from = from + 2 + many
    end
  elseif name == 'blank' then
    blank(key, ARGV[first])
  elseif name == 'trace' then
    trace(key, ARGV[first], ARGV[first + 1])
  elseif name == 'emptied' or name == 'drop' then
    redis.call('DEL', key)
  elseif name ~= 'look' and name ~= 'xadd' and name ~= 'known' and name ~= 'absent' then
    redis.call(name, key, unpack(ARGV, first, last))
  end
  at = last + 1
end
return {'committed'}
