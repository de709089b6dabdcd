DELETE FROM outbox WHERE source = $1 AND person_id = $2
