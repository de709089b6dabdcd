-- $1 number, $2 fence, $3 when, $4 error
UPDATE challenges
SET run_at = $3, last_error = $4, lease_owner = NULL, lease_until = NULL
WHERE number = $1 AND fence = $2 AND run_at IS NOT NULL
