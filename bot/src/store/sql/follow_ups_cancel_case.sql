-- $1 case, $2 now
UPDATE follow_ups
SET state = 'cancelled', finished_at = $2, lease_owner = NULL, lease_until = NULL
WHERE state = 'open' AND case_id = $1
