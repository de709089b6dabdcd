-- $1 challenge, $2 source, $3 JSON array of marks, each an array of member, mark, points in thousandths.
-- An answer taken back meanwhile gets none.
WITH one AS MATERIALIZED (
    SELECT value ->> 0 AS person_id, value ->> 1 AS mark, CAST(value ->> 2 AS BIGINT) AS points
    FROM json_array_elements($3::TEXT::JSON)
)
UPDATE challenge_answers
SET mark = one.mark, points = one.points
FROM one
WHERE challenge_answers.challenge = $1 AND challenge_answers.source = $2
  AND challenge_answers.person_id = one.person_id AND challenge_answers.state = 'taken'
