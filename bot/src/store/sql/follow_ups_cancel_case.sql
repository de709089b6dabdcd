-- $1 case, $2 now. A page to the coach stays: whether it is still due is looked at when it is.
UPDATE follow_ups
SET state = 'cancelled', finished_at = $2, lease_owner = NULL, lease_until = NULL
WHERE state = 'open' AND case_id = $1 AND kind <> 'page-coach'
