-- $1 owner
UPDATE follow_ups
SET lease_owner = NULL, lease_until = NULL
WHERE state = 'open' AND lease_owner = $1
