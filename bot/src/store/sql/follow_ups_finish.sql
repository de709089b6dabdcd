-- $1..$1 key, $2 fence, $3 now
UPDATE follow_ups
SET state = 'done', finished_at = $3, lease_owner = NULL, lease_until = NULL
WHERE id = $1 AND fence = $2 AND state = 'open'
