-- $1 owner
UPDATE challenges
SET lease_owner = NULL, lease_until = NULL
WHERE run_at IS NOT NULL AND lease_owner = $1
