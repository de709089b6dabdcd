-- $1 key, $2 fence, $3 now
UPDATE outbox
SET state = 'withdrawn', finished_at = $3, lease_owner = NULL, lease_until = NULL
WHERE key = $1 AND fence = $2 AND state IN ('ready', 'withdrawn')
