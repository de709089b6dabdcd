-- $1, $2 person. What was written and answered in their cases goes; what changed and when stays.
UPDATE entries SET text = ''
WHERE kind <> 'change' AND case_id IN (SELECT id FROM cases WHERE source = $1 AND person_id = $2)
