DELETE FROM strikes WHERE source = $1 AND person_id = $2
