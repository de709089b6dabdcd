SELECT source FROM standing_hidden WHERE source = $1 AND person_id = $2 LIMIT $3
