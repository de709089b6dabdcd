-- $1..$1 key, $2 fence, $3 lease end
UPDATE follow_ups
SET lease_until = $3
WHERE id = $1 AND fence = $2 AND state = 'open'
