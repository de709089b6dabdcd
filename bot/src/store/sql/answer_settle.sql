-- $1 challenge, $2, $3 member, $4 state. What has a mark stays as it is.
UPDATE challenge_answers
SET state = $4, why = ''
WHERE challenge = $1 AND source = $2 AND person_id = $3 AND mark IS NULL
