-- $1, $2 person, $3 now. Only what would be sent to the person: lapses and pages stay.
UPDATE follow_ups
SET state = 'cancelled', finished_at = $3, lease_owner = NULL, lease_until = NULL
WHERE state = 'open' AND kind = 'resubmit' AND source = $1 AND person_id = $2
