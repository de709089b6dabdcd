-- $1 id, $2 fence, $3 when, $4 error
UPDATE follow_ups
SET run_at = $3, last_error = $4, lease_owner = NULL, lease_until = NULL
WHERE id = $1 AND fence = $2 AND state = 'open'
