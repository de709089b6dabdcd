-- $1..$2 key, $3 fence, $4 now
UPDATE inbox
SET state = 'done', finished_at = $4, lease_owner = NULL, lease_until = NULL
WHERE source = $1 AND id = $2 AND fence = $3 AND state = 'waiting'
