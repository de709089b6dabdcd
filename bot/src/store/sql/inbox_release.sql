-- $1 owner
UPDATE inbox
SET lease_owner = NULL, lease_until = NULL
WHERE state = 'waiting' AND lease_owner = $1
