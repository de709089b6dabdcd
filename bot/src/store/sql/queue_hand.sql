-- $1 case, $2 and $3 the coach who gets it, $4 until, $5 now, $6 and $7 the coach who hands it over
UPDATE queue
SET taken_source = $2, taken_person = $3, taken_until = $4
WHERE case_id = $1
  AND (taken_until IS NULL OR taken_until <= $5 OR (taken_source = $6 AND taken_person = $7))
