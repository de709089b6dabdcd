-- Everybody of whom something is kept. $1, $2 the one before, $3 limit.
SELECT source, person_id FROM (
    SELECT source, person_id FROM lifters
    UNION SELECT source, person_id FROM cases
    UNION SELECT source, person_id FROM consents
    UNION SELECT source, person_id FROM challenge_answers
    UNION SELECT source, person_id FROM strikes
    UNION SELECT source, person_id FROM inbox
    UNION SELECT source, person_id FROM outbox WHERE person_id IS NOT NULL
) AS newest
WHERE (source, person_id) > ($1, $2) AND person_id <> ''
ORDER BY source, person_id
LIMIT $3
