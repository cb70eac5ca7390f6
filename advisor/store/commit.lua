-- Everything or nothing. Redis does not roll back, so whatever could fail is looked at before the first write:
-- whether the message was answered, the effect applied, the value changed, the type of every key, whether a
-- figure can be added to, a line has a place in its history, and what is queued already can be read.
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
  trace = 'zset', emptied = 'zset', blank = 'string', lines = 'none',
}

-- How what waits in a queue begins.
local SHAPE = {out = '^%l+ %d+ %d+ %S+ ', relay = '^%x+ '}

-- Lua counts exactly up to here.
local MOST = 9007199254740991

local function holds(key, wanted)
  local kind = redis.call('TYPE', key)['ok']
  return kind == 'none' or kind == wanted
end

-- Redis adds only to what it would write itself; 15 digits leave room for all that one commit can add.
local function is_count(key, field)
  local held = redis.call('HGET', key, field)
  return not held or held == '0' or (#held <= 15 and string.find(held, '^%-?[1-9]%d*$') ~= nil)
end

local function is_queued(key, shape)
  local held = redis.call('GET', key)
  return not held or string.find(held, SHAPE[shape]) ~= nil
end

-- Whether a set of traces is the one that was read: what came since would otherwise be left behind.
local function is_same(key, members)
  if redis.call('ZCARD', key) ~= #members then return false end
  for _, member in ipairs(members) do
    if not redis.call('ZSCORE', key, member) then return false end
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

for place = 1, 2 do
  local key = KEYS[tonumber(ARGV[place])]
  if key then
    if not holds(key, 'string') then return {'damaged', key} end
    local held = redis.call('GET', key)
    if held then return {'remembered', held, key} end
  end
end

local guarded = KEYS[tonumber(ARGV[3])]
if guarded then
  if not holds(guarded, 'string') then return {'damaged', guarded} end
  local held = redis.call('GET', guarded)
  local beginning = ARGV[4]
  if beginning == '' and held then return {'conflict'} end
  if beginning ~= '' and (not held or string.sub(held, 1, #beginning) ~= beginning) then return {'conflict'} end
end

local operations, ids = {}, {}
local at = 5
while at <= #ARGV do
  local name, key, many = ARGV[at], KEYS[tonumber(ARGV[at + 1])], tonumber(ARGV[at + 2])
  local a = {}
  for place = 1, many do a[place] = ARGV[at + 2 + place] end
  local kind = name == 'drop' and a[1] or TYPE[name]
  if not kind then error('unknown operation ' .. name) end
  if not holds(key, kind) then return {'damaged', key} end
  if name == 'emptied' and not is_same(key, a) then return {'conflict'} end
  if name == 'blank' and redis.call('EXISTS', key) == 1 and not string.find(redis.call('GET', key), '^[!-~]* ') then
    return {'damaged', key}
  end
  if name == 'hincrby' and not is_count(key, a[1]) then return {'damaged', key} end
  if name == 'offer' then
    if not is_queued(key, a[6]) then return {'damaged', key} end
    if not holds(KEYS[tonumber(a[2])], 'zset') then return {'damaged', KEYS[tonumber(a[2])]} end
  elseif name == 'xadd' then
    if ids[key] then error('two lines for one history') end
    ids[key] = entry_id(key, a[1])
    if not ids[key] then return {'damaged', key} end
  end
  operations[#operations + 1] = {name, key, a}
  at = at + 3 + many
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

for _, operation in ipairs(operations) do
  local name, key, a = operation[1], operation[2], operation[3]
  if name == 'set' then
    set(key, a[1], a[2])
  elseif name == 'offer' then
    if set(key, a[1], a[5], 'NX') then redis.call('ZADD', KEYS[tonumber(a[2])], a[3], a[4]) end
  elseif name == 'xadd' then
    redis.call('XADD', key, 'MINID', '=', a[2], ids[key], unpack(a, 3))
  elseif name == 'lines' then
    local at = 1
    while at <= #a do
      local many = tonumber(a[at + 1])
      redis.call('XADD', key, a[at], unpack(a, at + 2, at + 1 + many))
      at = at + 2 + many
    end
  elseif name == 'blank' then
    blank(key, a[1])
  elseif name == 'trace' then
    trace(key, a[1], a[2])
  elseif name == 'emptied' or name == 'drop' then
    redis.call('DEL', key)
  elseif name ~= 'look' then
    redis.call(name, key, unpack(a))
  end
end
return {'committed'}
