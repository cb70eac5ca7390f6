-- How many messages all processes together may hand over: a bucket that fills at a steady rate, and a moment before
-- which nobody may. Time is the server's, so that processes whose clocks differ share one. A clock that is set back
-- fills nothing and lengthens nothing.
--
-- KEYS  1  the bucket: left, at (milliseconds), until
-- ARGV  1  take: 2 a second, 3 most, 4 how many are left for others
--       1  hold: 2 for so many milliseconds
--
-- Answers how many, and after how many milliseconds to ask again

local LONGEST_MS = 3600000

local told = redis.call('TIME')
local now = tonumber(told[1]) * 1000 + math.floor(tonumber(told[2]) / 1000)
local key, until_ms = KEYS[1], 0

local kind = redis.call('TYPE', key)['ok']
if kind ~= 'hash' then redis.call('DEL', key) end
until_ms = tonumber(redis.call('HGET', key, 'until') or '0') or 0
if until_ms > now + LONGEST_MS then until_ms = 0 end

local function whole(number) return string.format('%.0f', number) end

if ARGV[1] == 'hold' then
  until_ms = math.max(until_ms, now + math.min(tonumber(ARGV[2]), LONGEST_MS))
  redis.call('HSET', key, 'until', whole(until_ms))
  redis.call('PEXPIRE', key, LONGEST_MS)
  return {'0', whole(until_ms - now)}
end
if until_ms > now then return {'0', whole(until_ms - now)} end

local rate, most, reserve = tonumber(ARGV[2]), tonumber(ARGV[3]), tonumber(ARGV[4])
local left, at = tonumber(redis.call('HGET', key, 'left') or rate), tonumber(redis.call('HGET', key, 'at') or now)
left = math.min(rate, (left or rate) + math.max(0, now - (at or now)) * rate / 1000)
local given = math.max(0, math.min(most, math.floor(left - reserve)))
redis.call('HSET', key, 'left', string.format('%.6f', left - given), 'at', whole(now))
redis.call('PEXPIRE', key, LONGEST_MS)
if given > 0 then return {whole(given), '0'} end
return {'0', whole(math.ceil((reserve + 1 - left) * 1000 / rate))}
