-- $1 number, $2 fence, $3 now, $4 error. It stays as it stands and waits for a person.
UPDATE challenges
SET run_at = NULL, last_error = $4, lease_owner = NULL, lease_until = NULL, version = version + 1
WHERE number = $1 AND fence = $2 AND $3 > 0
