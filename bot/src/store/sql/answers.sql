-- $1 challenge, $2 platform, $3 members after this one, $4 limit
SELECT challenge, source, person_id, at, edits, state, message_id, why, body, mark
FROM challenge_answers
WHERE challenge = $1 AND source = $2 AND person_id > $3
ORDER BY person_id
LIMIT $4
