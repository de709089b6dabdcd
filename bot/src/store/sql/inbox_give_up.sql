-- $1, $2 key, $3 fence, $4 now, $5 error
UPDATE inbox
SET state = 'dead', finished_at = $4, last_error = $5, lease_owner = NULL, lease_until = NULL
WHERE source = $1 AND id = $2 AND fence = $3 AND state = 'waiting'
