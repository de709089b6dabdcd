-- $1 number, $2 fence. What is due next stands in the challenge itself.
UPDATE challenges
SET attempts = 0, lease_owner = NULL, lease_until = NULL
WHERE number = $1 AND fence = $2
