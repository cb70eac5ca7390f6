-- Everything or nothing. Redis does not roll back, so whatever could fail is looked at before the first write:
-- whether the message was answered, the effect applied, the value changed, and the type of every key.
--
-- KEYS  every key that is read or written
-- ARGV  1  index of the message's key, 0 for none
--       2  index of the applied effect's key, 0 for none
--       3  index of the guarded key, 0 for none
--       4  what the guarded value must begin with, empty when the key must not exist
--       5… operations, each: name, index of its key, number of further arguments, these arguments
--
-- Answers {'remembered', value} | {'conflict'} | {'damaged', key} | {'committed'}

local TYPE = {
  set = 'string', offer = 'string', del = 'string', zadd = 'zset', zrem = 'zset',
  xadd = 'stream', hincrby = 'hash', sadd = 'set', srem = 'set',
}

local function holds(key, wanted)
  local kind = redis.call('TYPE', key)['ok']
  return kind == 'none' or kind == wanted
end

local function is_count(key, field)
  local held = redis.call('HGET', key, field)
  return not held or string.find(held, '^%-?%d+$') ~= nil
end

-- An entry's id is its moment; where the clock stood still or went back, the next free id.
local function entry_id(key, at)
  local last = redis.call('XREVRANGE', key, '+', '-', 'COUNT', 1)[1]
  if last then
    local ms, sequence = string.match(last[1], '^(%d+)%-(%d+)$')
    if tonumber(at) <= tonumber(ms) then
      return ms .. '-' .. string.format('%d', tonumber(sequence) + 1)
    end
  end
  return at .. '-0'
end

for place = 1, 2 do
  local key = KEYS[tonumber(ARGV[place])]
  if key then
    if not holds(key, 'string') then return {'damaged', key} end
    local held = redis.call('GET', key)
    if held then return {'remembered', held} end
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

local operations = {}
local at = 5
while at <= #ARGV do
  local name, key, many = ARGV[at], KEYS[tonumber(ARGV[at + 1])], tonumber(ARGV[at + 2])
  local a = {unpack(ARGV, at + 3, at + 2 + many)}
  if not TYPE[name] then error('unknown operation ' .. name) end
  if not holds(key, TYPE[name]) then return {'damaged', key} end
  if name == 'hincrby' and not is_count(key, a[1]) then return {'damaged', key} end
  if name == 'offer' and not holds(KEYS[tonumber(a[2])], 'zset') then return {'damaged', KEYS[tonumber(a[2])]} end
  operations[#operations + 1] = {name, key, a}
  at = at + 3 + many
end

for _, operation in ipairs(operations) do
  local name, key, a = operation[1], operation[2], operation[3]
  if name == 'set' then
    if a[2] == '0' then redis.call('SET', key, a[1]) else redis.call('SET', key, a[1], 'PX', a[2]) end
  elseif name == 'offer' then
    if redis.call('SET', key, a[1], 'NX') then redis.call('ZADD', KEYS[tonumber(a[2])], a[3], a[4]) end
  elseif name == 'xadd' then
    local id = entry_id(key, a[1])
    redis.call('XADD', key, 'MINID', '=', a[2], id, unpack(a, 3))
  else
    redis.call(name, key, unpack(a))
  end
end
return {'committed'}
