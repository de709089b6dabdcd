-- $1 challenge, $2 source, $3 JSON array of marks, each an array of member, mark, points in thousandths.
-- An answer taken back meanwhile gets none; said there and not where rows are found, for the planner would
-- then look for each answer through all marks.
-- Laid out first, so that each mark looks for its answer and not each answer through all marks.
WITH one AS MATERIALIZED (
    SELECT value ->> 0 AS person_id, value ->> 1 AS mark, value ->> 2 AS points FROM json_each($3)
)
UPDATE challenge_answers
SET mark = CASE WHEN challenge_answers.state = 'taken' THEN one.mark ELSE challenge_answers.mark END,
    points = CASE WHEN challenge_answers.state = 'taken' THEN one.points ELSE challenge_answers.points END
FROM one
WHERE challenge_answers.challenge = $1 AND challenge_answers.source = $2
  AND challenge_answers.person_id = one.person_id
