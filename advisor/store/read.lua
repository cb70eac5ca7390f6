-- Reads many keys of one bucket at one moment. Nothing is written.
--
-- KEYS  every key that is read
-- ARGV  1… for each reading: what, index of its key, a member or ''
--         text     what a key holds, and how many milliseconds it has left (-1 for no end)
--         place    the score of a member
--         members  all members of a zset
--         lines    all lines of a stream
--
-- Answers {'damaged', key} | {'read', one answer for each reading}

local READ = {
  text = function(key) return {redis.pcall('GET', key), redis.pcall('PTTL', key)} end,
  place = function(key, member) return {redis.pcall('ZSCORE', key, member)} end,
  members = function(key) return {redis.pcall('ZRANGE', key, 0, -1)} end,
  lines = function(key) return {redis.pcall('XRANGE', key, '-', '+')} end,
}

local answers = {}
for at = 1, #ARGV, 3 do
  local key = KEYS[tonumber(ARGV[at + 1])]
  local answer = READ[ARGV[at]](key, ARGV[at + 2])
  if type(answer[1]) == 'table' and answer[1]['err'] then return {'damaged', key} end
  answers[#answers + 1] = answer
end
return {'read', answers}
