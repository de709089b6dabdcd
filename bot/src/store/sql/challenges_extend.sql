-- $1 number, $2 fence, $3 lease end
UPDATE challenges
SET lease_until = $3
WHERE number = $1 AND fence = $2
