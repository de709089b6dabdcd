-- $1..$1 key, $2 fence, $3 lease end
UPDATE outbox
SET lease_until = $3
WHERE key = $1 AND fence = $2 AND state IN ('ready', 'withdrawn')
