SELECT cause_id, at, step, until_at, rule, why, challenge, given_by, state
FROM strikes WHERE source = $1 AND person_id = $2 ORDER BY at LIMIT $3
