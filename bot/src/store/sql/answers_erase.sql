DELETE FROM challenge_answers WHERE source = $1 AND person_id = $2
