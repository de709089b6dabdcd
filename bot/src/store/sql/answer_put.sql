-- One answer a member and challenge, and only while it is open.
INSERT INTO challenge_answers
    (challenge, source, person_id, at, edits, state, message_id, why, body)
SELECT number, CAST($2 AS TEXT), CAST($3 AS TEXT), CAST($4 AS BIGINT), CAST($5 AS BIGINT),
       CAST($6 AS TEXT), CAST($7 AS TEXT), CAST($8 AS TEXT), CAST($9 AS TEXT)
FROM challenges
WHERE number = $1 AND state = 'open'
ON CONFLICT (challenge, source, person_id) DO UPDATE SET
    at = excluded.at,
    edits = excluded.edits,
    state = excluded.state,
    message_id = excluded.message_id,
    why = excluded.why,
    body = excluded.body
