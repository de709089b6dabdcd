DELETE FROM access_log
WHERE case_id IN (SELECT id FROM cases WHERE source = $1 AND person_id = $2)
