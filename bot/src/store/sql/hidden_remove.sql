DELETE FROM standing_hidden WHERE source = $1 AND person_id = $2
