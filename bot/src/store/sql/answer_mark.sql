-- $1 challenge, $2, $3 member, $4 mark, $5 points in thousandths
UPDATE challenge_answers
SET mark = $4, points = $5
WHERE challenge = $1 AND source = $2 AND person_id = $3
