-- History, queue and dated asks go with the cases.
DELETE FROM cases WHERE source = $1 AND person_id = $2
