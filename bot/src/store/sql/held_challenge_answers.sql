SELECT challenge, at, edits, state, why, body, mark
FROM challenge_answers WHERE source = $1 AND person_id = $2 ORDER BY challenge LIMIT $3
