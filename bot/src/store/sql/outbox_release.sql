-- $1 owner
UPDATE outbox
SET lease_owner = NULL, lease_until = NULL
WHERE state = 'ready' AND lease_owner = $1
