-- $1, $2 person. The content of every finished event of theirs goes.
UPDATE inbox SET body = '{}', last_error = NULL
WHERE state <> 'waiting' AND source = $1 AND person_id = $2
