-- $1, $2 person, $3 reasons
UPDATE queue SET reasons = $3
WHERE case_id IN (SELECT id FROM cases WHERE source = $1 AND person_id = $2)
