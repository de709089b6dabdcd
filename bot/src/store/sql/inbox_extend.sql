-- $1..$2 key, $3 fence, $4 lease end
UPDATE inbox
SET lease_until = $4
WHERE source = $1 AND id = $2 AND fence = $3 AND state = 'waiting'
